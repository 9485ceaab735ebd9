"use client";

import { words } from "@/app/_ui/format.ts";
import { FIXED_VALUES } from "@/app/_words/imports.ts";
import { bareRule } from "@/lib/mapping/bare-rule.ts";
import type { ColumnRule, MappingView } from "@/lib/reads/import-mapping-view.ts";
import { TypedText } from "./typed-text.tsx";

/** What no column of the file holds, said once for all of its rows. */
export function FixedValues({ view, onChange }: { view: MappingView; onChange: (columns: ColumnRule[]) => void }) {
  const { columns: rules } = view.mapping;
  const shown = view.columns.filter(
    (column) =>
      rules.some((rule) => rule.to === column.name && rule.at === null) ||
      view.questions.some((q) => q.part === "column" && q.about === column.name),
  );
  if (shown.length === 0) return null;
  const say = (to: string, fixed: string) => {
    const others = rules.filter((rule) => rule.to !== to);
    onChange(fixed === "" ? others : [...others, { ...bareRule(to, null), fixed }]);
  };
  return (
    <>
      <h3>{FIXED_VALUES.theSameInEvery}</h3>
      <div className="filters">
        {shown.map((column) => {
          const value = rules.find((rule) => rule.to === column.name && rule.at === null)?.fixed ?? "";
          return (
            <label key={column.name} htmlFor={`fixed-${column.name}`}>
              {words(column.name)}
              {column.words ? (
                <select
                  id={`fixed-${column.name}`}
                  value={value}
                  onChange={(event) => say(column.name, event.target.value)}
                >
                  <option value="">{FIXED_VALUES.sayWhich}</option>
                  {column.words.map((word) => (
                    <option key={word} value={word}>
                      {words(word)}
                    </option>
                  ))}
                </select>
              ) : (
                <TypedText
                  id={`fixed-${column.name}`}
                  value={value}
                  placeholder={column.name === "time_zone" ? "America/Chicago" : ""}
                  onSaid={(text) => say(column.name, text)}
                />
              )}
            </label>
          );
        })}
      </div>
    </>
  );
}
