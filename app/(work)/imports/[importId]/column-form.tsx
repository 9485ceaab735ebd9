"use client";

import { useMemo } from "react";
import { COLUMN_FORM } from "@/app/_words/imports.ts";
import { MAPPING } from "@/app/_words/mapping.ts";
import type { ColumnRule, MappingView } from "@/lib/reads/import-mapping-view.ts";

const FORMS = {
  iso: "2025-04-03T14:00 (ISO 8601)",
  ymd: COLUMN_FORM.yearMonthDay,
  mdy: COLUMN_FORM.monthDayYearIs,
  dmy: COLUMN_FORM.dayMonthYearIs,
  named_month: COLUMN_FORM.monthByNameApr,
  epoch_s: COLUMN_FORM.secondsSince,
  epoch_ms: COLUMN_FORM.millisecondsSince,
  serial_day: COLUMN_FORM.dayNumberOfA,
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
          aria-label={COLUMN_FORM.howIsWritten(heading)}
          value={rule.form ?? ""}
          onChange={(event) => onChange({ form: event.target.value as ColumnRule["form"] })}
        >
          {rule.form ? null : <option value="">{COLUMN_FORM.howIsItWritten}</option>}
          {Object.entries(FORMS).map(([form, says]) => (
            <option key={form} value={form}>
              {says}
            </option>
          ))}
        </select>
        {column.takes === "time" && rule.form !== "epoch_s" && rule.form !== "epoch_ms" ? (
          <ZoneSelect
            label={COLUMN_FORM.whoseClockTells(heading)}
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
      aria-label={COLUMN_FORM.unitOf(heading)}
      value={rule.unit ?? ""}
      onChange={(event) => onChange({ unit: event.target.value || null })}
    >
      {rule.unit ? null : <option value="">{COLUMN_FORM.inWhichUnit}</option>}
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
      {value ? null : <option value="">{COLUMN_FORM.whoseClock}</option>}
      {site ? <option value="site">{COLUMN_FORM.theSitesOwnClock}</option> : null}
      <option value="UTC">{COLUMN_FORM.utc}</option>
      {zones.map((zone) => (
        <option key={zone}>{zone}</option>
      ))}
    </select>
  );
}
