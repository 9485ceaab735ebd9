"use client";

import { useState } from "react";
import { words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { CODES_TABLE } from "@/app/_words/imports.ts";
import { MAPPING } from "@/app/_words/mapping.ts";
import type { Mapping, MappingView } from "@/lib/reads/import-mapping-view.ts";

const SUNSPEC = "sunspec_evt1";

/** What the fault codes of a log mean. Only the owner of a list knows that, so it is always said by somebody. */
export function CodesTable({
  view,
  onChange,
}: {
  view: MappingView;
  onChange: (vocabulary: Mapping["vocabulary"]) => void;
}) {
  const said = view.mapping.vocabulary;
  const [events, setEvents] = useState<Record<string, string>>({});
  if (view.codes.length === 0) return null;
  const of = (code: string) => said?.events[code] ?? events[code] ?? "OTHER";
  const system = view.file.replace(/\.[^.]*$/, "").slice(0, 100) || "codes";
  const all = (changed: Record<string, string>) =>
    Object.fromEntries(view.codes.map(({ code }) => [code, changed[code] ?? of(code)]));
  const choose = (code: string, event: string) => {
    const next = all({ [code]: event });
    setEvents(next);
    onChange({ system: said && said.system !== SUNSPEC ? said.system : system, events: next });
  };
  return (
    <>
      <h3>{CODES_TABLE.whatItsCodesMean}</h3>
      <p className="filters">
        <label>
          {CODES_TABLE.vocabulary}
          <select
            value={said === null ? "" : said.system === SUNSPEC ? "sunspec" : "own"}
            onChange={(event) =>
              onChange(event.target.value === "sunspec" ? { system: SUNSPEC, events: {} } : { system, events: all({}) })
            }
          >
            {said === null ? <option value="">{CODES_TABLE.sayWhich}</option> : null}
            <option value="own">{CODES_TABLE.theFilesOwnAs}</option>
            <option value="sunspec">{CODES_TABLE.sunspecEventBitsOr}</option>
          </select>
        </label>
      </p>
      {said?.system === SUNSPEC ? null : (
        <Table
          label={CODES_TABLE.codesOf(view.file)}
          rows={view.codes}
          keyOf={({ code }) => code}
          columns={[
            { name: CODES_TABLE.code, cell: ({ code }) => code },
            {
              name: CODES_TABLE.messageOfOneSuch,
              cell: ({ message, ground }) => (
                <>
                  {message}
                  {ground ? <span className="soft"> {CODES_TABLE.readsLikeAGround}</span> : null}
                </>
              ),
            },
            { name: MAPPING.rows, num: true, cell: ({ rows }) => rows.toLocaleString("en-US") },
            {
              name: MAPPING.means,
              cell: ({ code }) => (
                <select
                  aria-label={MAPPING.meaningOf(code)}
                  value={of(code)}
                  onChange={(event) => choose(code, event.target.value)}
                >
                  {view.events.map((event) => (
                    <option key={event} value={event}>
                      {event === "OTHER" ? CODES_TABLE.anotherFault : words(event.toLowerCase())}
                    </option>
                  ))}
                </select>
              ),
            },
          ]}
        />
      )}
    </>
  );
}
