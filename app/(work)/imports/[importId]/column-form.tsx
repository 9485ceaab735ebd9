"use client";

import { useMemo } from "react";
import { MAPPING } from "@/app/_words/mapping.ts";
import type { ColumnRule, MappingView } from "@/lib/reads/import-mapping-view.ts";

const FORMS = {
  iso: "2025-04-03T14:00 (ISO 8601)",
  ymd: "year, month, day: 2025/4/3",
  mdy: "month, day, year: 4/3/2025 is 3 April",
  dmy: "day, month, year: 4/3/2025 is 4 March",
  named_month: "month by name: 3 Apr 2025",
  epoch_s: "seconds since 1970",
  epoch_ms: "milliseconds since 1970",
  serial_day: "day number of a spreadsheet",
} as const;

interface Props {
  view: MappingView;
  rule: ColumnRule;
  onChange: (part: Partial<ColumnRule>) => void;
}

/** Unit of a column, or how its times are written and whose clock they tell. */
export function ColumnForm({ view, rule, onChange }: Props) {
  const column = view.columns.find((c) => c.name === rule.to);
  if (!column) return null;
  const heading = rule.at === null ? rule.to : (view.header[rule.at] ?? "");
  if (column.takes === "time" || column.takes === "day")
    return (
      <span className="how">
        <select
          aria-label={`How ${heading} is written`}
          value={rule.form ?? ""}
          onChange={(event) => onChange({ form: event.target.value as ColumnRule["form"] })}
        >
          {rule.form ? null : <option value="">how is it written?</option>}
          {Object.entries(FORMS).map(([form, says]) => (
            <option key={form} value={form}>
              {says}
            </option>
          ))}
        </select>
        {column.takes === "time" && rule.form !== "epoch_s" && rule.form !== "epoch_ms" ? (
          <ZoneSelect
            label={`Whose clock ${heading} tells`}
            value={rule.zone}
            site={view.mapping.kind !== "weather"}
            onChange={(zone) => onChange({ zone })}
          />
        ) : null}
        {column.takes === "time" && view.mapping.kind === "weather" ? (
          <select
            aria-label={MAPPING.hourOf(heading)}
            value={rule.hour ?? ""}
            onChange={(event) => onChange({ hour: event.target.value as ColumnRule["hour"] })}
          >
            {rule.hour ? null : <option value="">{MAPPING.whichHour}</option>}
            <option value="ends">{MAPPING.hourEnds}</option>
            <option value="starts">{MAPPING.hourStarts}</option>
          </select>
        ) : null}
      </span>
    );
  if (column.units.length < 2) return null;
  return (
    <select
      aria-label={`Unit of ${heading}`}
      value={rule.unit ?? ""}
      onChange={(event) => onChange({ unit: event.target.value || null })}
    >
      {rule.unit ? null : <option value="">in which unit?</option>}
      {column.units.map(({ unit, label }) => (
        <option key={unit} value={unit}>
          {label}
        </option>
      ))}
    </select>
  );
}

function ZoneSelect({
  label,
  value,
  site,
  onChange,
}: {
  label: string;
  value: string | null;
  site: boolean;
  onChange: (zone: string) => void;
}) {
  const zones = useMemo(() => Intl.supportedValuesOf("timeZone").filter((zone) => zone !== "UTC"), []);
  return (
    <select aria-label={label} value={value ?? ""} onChange={(event) => onChange(event.target.value)}>
      {value ? null : <option value="">whose clock?</option>}
      {site ? <option value="site">the site’s own clock</option> : null}
      <option value="UTC">UTC</option>
      {zones.map((zone) => (
        <option key={zone}>{zone}</option>
      ))}
    </select>
  );
}
