"use client";

import { useState } from "react";
import { words } from "@/app/_ui/format.ts";
import { PhoneFold } from "@/app/_ui/phone-fold.tsx";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { WHAT_IF } from "@/app/_words/site-evidence.ts";
import { CHECKS, OUTCOMES, READING_UNITS } from "@/lib/core/records.ts";
import type { WhatIfView } from "@/lib/reads/what-if-view.ts";
import { WhatIfResult } from "./what-if-result.tsx";

interface Finding {
  check: string;
  outcome: string;
  sectionId: string | null;
  inverterId: string | null;
  value: string | null;
  unit: string | null;
}
interface Props {
  siteId: string;
  sectionIds: string[];
  inverterIds: string[];
}

const text = (data: FormData, name: string) => String(data.get(name) ?? "").trim() || null;
const said = (f: Finding) =>
  [words(f.check), f.sectionId ?? f.inverterId, f.outcome, f.value === null ? null : `${f.value} ${f.unit}`]
    .filter(Boolean)
    .join(" · ");

/** Set findings and see the belief move; nothing is stored. */
export function WhatIf({ siteId, sectionIds, inverterIds }: Props) {
  const [findings, setFindings] = useState<Finding[]>([]);
  const [view, setView] = useState<WhatIfView | null>(null);
  const [busy, setBusy] = useState(false);
  const [trouble, setTrouble] = useState<string | null>(null);
  const ask = async (next: Finding[]) => {
    setTrouble(null);
    if (next.length === 0) {
      setFindings([]);
      setView(null);
      return;
    }
    setBusy(true);
    try {
      setView(await postJson<WhatIfView>(`/api/pages/sites/${encodeURIComponent(siteId)}/what-if`, { findings: next }));
      setFindings(next);
    } catch (error) {
      setTrouble((error as Error).message);
    }
    setBusy(false);
  };
  const add = (data: FormData) => {
    const place = text(data, "place");
    const value = text(data, "value");
    const finding: Finding = {
      check: String(data.get("check")),
      outcome: String(data.get("outcome")),
      sectionId: place?.startsWith("s/") ? place.slice(2) : null,
      inverterId: place?.startsWith("i/") ? place.slice(2) : null,
      value,
      unit: value === null ? null : text(data, "unit"),
    };
    return ask([...findings, finding]);
  };
  return (
    <section className="no-print" aria-label={WHAT_IF.whatIf} data-what-if>
      <PhoneFold title={WHAT_IF.whatIf}>
        <p className="soft">{WHAT_IF.setAFindingOr}</p>
        <form
          className="filters"
          onSubmit={(e) => {
            e.preventDefault();
            add(new FormData(e.currentTarget));
          }}
        >
          <Pick name="check" label={WHAT_IF.check} options={CHECKS.map((c) => [c, words(c)])} />
          <Pick
            name="place"
            label={WHAT_IF.where}
            options={[
              ["", WHAT_IF.theSite],
              ...sectionIds.map((id) => [`s/${id}`, WHAT_IF.section(id)] as [string, string]),
              ...inverterIds.map((id) => [`i/${id}`, WHAT_IF.inverter(id)] as [string, string]),
            ]}
          />
          <Pick
            name="outcome"
            label={WHAT_IF.outcome}
            options={[...OUTCOMES].reverse().map((o) => [o, o])}
            start="fail"
          />
          <label>
            {WHAT_IF.readingIfMeasured}
            <input type="text" name="value" inputMode="decimal" />
          </label>
          <Pick name="unit" label={WHAT_IF.unit} options={READING_UNITS.map((u) => [u, u])} />
          <button type="submit" className="button main" disabled={busy}>
            {WHAT_IF.addAndSee}
          </button>
        </form>
        {findings.length > 0 ? (
          <>
            <ul>
              {findings.map((f, i) => (
                <li key={i}>
                  {said(f)}{" "}
                  <button type="button" className="button" onClick={() => ask(findings.filter((_, k) => k !== i))}>
                    {WHAT_IF.takeOut}
                    <span className="visually-hidden"> {said(f)}</span>
                  </button>
                </li>
              ))}
            </ul>
            <button type="button" className="button" onClick={() => ask([])}>
              {WHAT_IF.takeOutAll}
            </button>
          </>
        ) : null}
        <p role="status" className="soft">
          {busy ? WHAT_IF.workingItOut : ""}
        </p>
        <Trouble says={trouble} />
        {view ? <WhatIfResult view={view} /> : null}
      </PhoneFold>
    </section>
  );
}

interface PickProps {
  name: string;
  label: string;
  options: [string, string][];
  start?: string;
}

function Pick({ name, label, options, start }: PickProps) {
  return (
    <label>
      {label}
      <select name={name} defaultValue={start}>
        {options.map(([value, shown]) => (
          <option key={value} value={value}>
            {shown}
          </option>
        ))}
      </select>
    </label>
  );
}
