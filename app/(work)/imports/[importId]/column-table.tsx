"use client";

import { words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
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
    <Wide label={`Columns of ${view.file}`}>
      <table>
        <thead>
          <tr>
            <th scope="col">Column of the file</th>
            <th scope="col">Some of its values</th>
            <th scope="col">Read as</th>
            <th scope="col">How</th>
          </tr>
        </thead>
        <tbody>
          {view.header.map((heading, at) => {
            const rule = rules.find((r) => r.at === at);
            const clockOf = rules.find((r) => r.clockAt === at);
            const asks = rule && view.questions.some((q) => q.about === rule.to);
            return (
              <tr key={at} className={asks ? "asks" : undefined}>
                <th scope="row">{heading || `column ${at + 1}`}</th>
                <td className="soft">{view.examples[at]?.join(" · ") || "empty"}</td>
                <td>
                  {clockOf ? (
                    <span>time of day of {words(clockOf.to)}</span>
                  ) : (
                    <select
                      aria-label={`${heading} is read as`}
                      value={rule?.to ?? ""}
                      onChange={(event) => readAs(at, event.target.value)}
                    >
                      <option value="">not read</option>
                      {view.columns.map((column) => (
                        <option key={column.name} value={column.name}>
                          {words(column.name)}
                          {column.required ? " (needed)" : ""}
                        </option>
                      ))}
                    </select>
                  )}
                </td>
                <td>
                  {rule ? <ColumnForm view={view} rule={rule} onChange={(part) => change(rule.to, part)} /> : null}
                  {rule && view.because[rule.to] ? <span className="soft"> {view.because[rule.to]}</span> : null}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </Wide>
  );
}
