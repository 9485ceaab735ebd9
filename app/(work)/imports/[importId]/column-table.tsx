"use client";

import { words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { COLUMN_TABLE } from "@/app/_words/imports.ts";
import { MAPPING } from "@/app/_words/mapping.ts";
import { bareRule } from "@/lib/mapping/bare-rule.ts";
import type { ColumnRule, MappingView } from "@/lib/reads/import-mapping-view.ts";
import { ColumnForm } from "./column-form.tsx";

/** The file's own columns: what each is read as, in which unit, and whose clock it tells. */
export function ColumnTable({ view, onChange }: { view: MappingView; onChange: (columns: ColumnRule[]) => void }) {
  const { columns: rules } = view.mapping;
  const readAs = (at: number, to: string) => {
    const others = rules.filter((rule) => rule.at !== at && rule.to !== to);
    onChange(to === "" ? others : [...others, bareRule(to, at)]);
  };
  const change = (to: string, part: Partial<ColumnRule>) =>
    onChange(rules.map((rule) => (rule.to === to ? { ...rule, ...part } : rule)));
  return (
    <Table
      label={COLUMN_TABLE.columnsOf(view.file)}
      rows={view.header.map((heading, at) => ({
        heading,
        at,
        rule: rules.find((r) => r.at === at),
        clockOf: rules.find((r) => r.clockAt === at),
      }))}
      keyOf={({ at }) => at}
      rowClass={({ rule }) => (rule && view.questions.some((q) => q.about === rule.to) ? "asks" : undefined)}
      columns={[
        { name: MAPPING.columnOfFile, head: true, cell: ({ heading, at }) => heading || COLUMN_TABLE.column(at + 1) },
        {
          name: MAPPING.someValues,
          className: "soft",
          cell: ({ at }) => view.examples[at]?.join(" · ") || COLUMN_TABLE.empty,
        },
        {
          name: MAPPING.readAs,
          cell: ({ heading, at, rule, clockOf }) =>
            clockOf ? (
              <span>{COLUMN_TABLE.timeOfDayOf(words(clockOf.to))}</span>
            ) : (
              <select
                aria-label={COLUMN_TABLE.isReadAs(heading)}
                value={rule?.to ?? ""}
                onChange={(event) => readAs(at, event.target.value)}
              >
                <option value="">{COLUMN_TABLE.notRead}</option>
                {view.columns.map((column) => (
                  <option key={column.name} value={column.name}>
                    {words(column.name)}
                    {column.required ? COLUMN_TABLE.needed : ""}
                  </option>
                ))}
              </select>
            ),
        },
        {
          name: MAPPING.how,
          cell: ({ rule }) => (
            <>
              {rule ? <ColumnForm view={view} rule={rule} onChange={(part) => change(rule.to, part)} /> : null}
              {rule && view.because[rule.to] ? <span className="soft"> {view.because[rule.to]}</span> : null}
            </>
          ),
        },
      ]}
    />
  );
}
