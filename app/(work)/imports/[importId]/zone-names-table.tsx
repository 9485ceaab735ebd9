"use client";

import { words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { MAPPING } from "@/app/_words/mapping.ts";
import type { ColumnRule, MappingView } from "@/lib/reads/import-mapping-view.ts";

/** Every offset that a zone keeps, for a name that nobody knows: whole hours, and the halves and quarters in use. */
const OFFSETS = [-12, -11, -10, -9.5, -9, -8, -7, -6, -5, -4, -3.5, -3, -2, -1, 0, 1, 2, 3, 3.5, 4, 4.5, 5, 5.5, 5.75]
  .concat([6, 6.5, 7, 8, 8.75, 9, 9.5, 10, 10.5, 11, 12, 12.75, 13, 14])
  .map((hours) => {
    const minutes = Math.abs(hours) * 60;
    const two = (n: number) => String(n).padStart(2, "0");
    return `${hours < 0 ? "-" : "+"}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
  });

/** What names of zones in a file's times mean, where the file has some. */
export function ZoneNamesTable({ view, onChange }: { view: MappingView; onChange: (columns: ColumnRule[]) => void }) {
  const { columns: rules } = view.mapping;
  const rows = rules.flatMap((rule) => (view.zoneNames[rule.to] ?? []).map((named) => ({ rule, ...named })));
  if (rows.length === 0) return null;
  const say = (to: string, name: string, means: string) =>
    onChange(
      rules.map((rule) => (rule.to === to ? { ...rule, words: { ...rule.words, [name.toLowerCase()]: means } } : rule)),
    );
  return (
    <>
      <h3>{MAPPING.zoneNames}</h3>
      <Table
        label={MAPPING.zoneNamesOf(view.file)}
        rows={rows}
        keyOf={({ rule, name }) => `${rule.to}/${name}`}
        columns={[
          { name: MAPPING.column, cell: ({ rule }) => words(rule.to) },
          { name: MAPPING.zoneName, cell: ({ name }) => name },
          {
            name: MAPPING.means,
            cell: ({ rule, name, meanings }) => {
              const said = rule.words[name.toLowerCase()];
              return (
                <select
                  aria-label={MAPPING.meaningOf(name)}
                  value={said ?? ""}
                  onChange={(event) => say(rule.to, name, event.target.value)}
                >
                  {said === undefined ? <option value="">{MAPPING.sayWhat}</option> : null}
                  {meanings.map(({ offset, where }) => (
                    <option key={`${offset} ${where}`} value={offset}>
                      {MAPPING.zoneIs(offset, where)}
                    </option>
                  ))}
                  {meanings.length > 0
                    ? null
                    : OFFSETS.map((offset) => (
                        <option key={offset} value={offset}>
                          {MAPPING.zoneOffset(offset)}
                        </option>
                      ))}
                  {view.mapping.kind === "weather" ? null : <option value="site">{MAPPING.siteClock}</option>}
                </select>
              );
            },
          },
        ]}
      />
    </>
  );
}
