"use client";

import { words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { ColumnRule, MappingView } from "@/lib/reads/import-mapping-view.ts";

/** Words of the file and what they mean, where the contract has words of its own. */
export function WordsTable({ view, onChange }: { view: MappingView; onChange: (columns: ColumnRule[]) => void }) {
  const { columns: rules } = view.mapping;
  const rows = rules.flatMap((rule) => {
    const own = view.columns.find((c) => c.name === rule.to)?.words ?? null;
    return own ? (view.words[rule.to] ?? []).map((word) => ({ rule, own, word })) : [];
  });
  if (rows.length === 0) return null;
  const say = (to: string, word: string, means: string) =>
    onChange(rules.map((rule) => (rule.to === to ? { ...rule, words: { ...rule.words, [word]: means } } : rule)));
  return (
    <>
      <h3>What its words mean</h3>
      <Wide label={`Words of ${view.file}`}>
        <table>
          <thead>
            <tr>
              <th scope="col">Column</th>
              <th scope="col">Word of the file</th>
              <th scope="col">Means</th>
            </tr>
          </thead>
          <tbody>
            {rows.map(({ rule, own, word }) => (
              <tr key={`${rule.to}/${word}`}>
                <td>{words(rule.to)}</td>
                <td>{word}</td>
                <td>
                  <select
                    aria-label={`${word} means`}
                    value={rule.words[word] ?? ""}
                    onChange={(event) => say(rule.to, word, event.target.value)}
                  >
                    {rule.words[word] === undefined ? <option value="">say what</option> : null}
                    {own.map((known) => (
                      <option key={known} value={known}>
                        {words(known)}
                      </option>
                    ))}
                    <option value={word}>none of these: set such rows aside</option>
                  </select>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </>
  );
}
