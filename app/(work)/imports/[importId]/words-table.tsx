"use client";

import { words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { WORDS_TABLE } from "@/app/_words/imports.ts";
import { MAPPING } from "@/app/_words/mapping.ts";
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
      <h3>{WORDS_TABLE.whatItsWordsMean}</h3>
      <Table
        label={WORDS_TABLE.wordsOf(view.file)}
        rows={rows}
        keyOf={({ rule, word }) => `${rule.to}/${word}`}
        columns={[
          { name: MAPPING.column, cell: ({ rule }) => words(rule.to) },
          { name: MAPPING.wordOfFile, cell: ({ word }) => word },
          {
            name: MAPPING.means,
            cell: ({ rule, own, word }) => (
              <select
                aria-label={MAPPING.meaningOf(word)}
                value={rule.words[word] ?? ""}
                onChange={(event) => say(rule.to, word, event.target.value)}
              >
                {rule.words[word] === undefined ? <option value="">{MAPPING.sayWhat}</option> : null}
                {own.map((known) => (
                  <option key={known} value={known}>
                    {words(known)}
                  </option>
                ))}
                <option value={word}>{WORDS_TABLE.noneOfTheseSet}</option>
              </select>
            ),
          },
        ]}
      />
    </>
  );
}
