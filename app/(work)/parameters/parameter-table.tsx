"use client";

import { useMemo, useState } from "react";
import { number } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import { PARAMETER_TABLE } from "@/app/_words/parameters.ts";
import { overrideProblem } from "@/lib/diagnose/parameter-overrides.ts";
import type { ParametersView } from "@/lib/reads/parameters-view.ts";

export type Edits = Record<string, { value: number; spread: number }>;
type Row = ParametersView["rows"][number];

const KINDS = {
  published: "published",
  common_practice: PARAMETER_TABLE.commonPractice,
  judgement: PARAMETER_TABLE.engineeringJudgement,
};

/** Kind and source; a source that already begins with its kind is not said twice. */
function sourceText({ kind, source }: Row["provenance"]): string {
  return source.startsWith(KINDS[kind]) ? source : `${KINDS[kind]}: ${source}`;
}

interface Props {
  rows: Row[];
  edits: Edits;
  onEdits: (edits: Edits) => void;
  locked: boolean;
}

/** Every row; one is edited at a time, so that the table stays readable. */
export function ParameterTable({ rows, edits, onEdits, locked }: Props) {
  const [search, setSearch] = useState("");
  const [open, setOpen] = useState<string | null>(null);
  const groups = useMemo(() => [...new Set(rows.map((r) => r.key.split(".")[0] as string))].sort(), [rows]);
  const [group, setGroup] = useState("prior");
  const shown = rows.filter(
    (r) =>
      (search !== "" || group === "" || r.key.startsWith(`${group}.`)) &&
      r.key.toLowerCase().includes(search.toLowerCase()),
  );
  const set = (row: Row, to: { value: number; spread: number } | null) => {
    const { [row.key]: _, ...rest } = edits;
    onEdits(to && (to.value !== row.value || to.spread !== row.spread) ? { ...rest, [row.key]: to } : rest);
    setOpen(null);
  };
  return (
    <>
      <div className="filters">
        <label>
          {PARAMETER_TABLE.group}
          <select value={group} onChange={(e) => setGroup(e.target.value)}>
            <option value="">{PARAMETER_TABLE.all}</option>
            {groups.map((g) => (
              <option key={g}>{g}</option>
            ))}
          </select>
        </label>
        <label>
          {PARAMETER_TABLE.searchAllRows}
          <input type="search" value={search} onChange={(e) => setSearch(e.target.value)} />
        </label>
      </div>
      <p className="soft">{PARAMETER_TABLE.ofRowsTheSpread(shown.length, rows.length)}</p>
      {shown.length === 0 ? <Empty>{PARAMETER_TABLE.noRowMatches}</Empty> : null}
      <Wide label={PARAMETER_TABLE.parameterRows}>
        <table data-parameters className="ranked cards">
          <thead>
            <tr>
              <th scope="col">{PARAMETER_TABLE.row}</th>
              <th scope="col" className="num">
                {PARAMETER_TABLE.value}
              </th>
              <th scope="col">{PARAMETER_TABLE.unit}</th>
              <th scope="col" className="num">
                {PARAMETER_TABLE.spread}
              </th>
              <th scope="col" className="num">
                {PARAMETER_TABLE.default}
              </th>
              <th scope="col">{PARAMETER_TABLE.whereItComesFrom}</th>
              <th scope="col">
                <span className="visually-hidden">{PARAMETER_TABLE.edit}</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {shown.map((row) =>
              open === row.key ? (
                <EditRow
                  key={row.key}
                  row={row}
                  now={edits[row.key] ?? row}
                  onDone={(to) => set(row, to)}
                  onCancel={() => setOpen(null)}
                />
              ) : (
                <PlainRow
                  key={row.key}
                  row={row}
                  edit={edits[row.key]}
                  onOpen={locked ? null : () => setOpen(row.key)}
                />
              ),
            )}
          </tbody>
        </table>
      </Wide>
    </>
  );
}

function PlainRow({ row, edit, onOpen }: { row: Row; edit: Edits[string] | undefined; onOpen: (() => void) | null }) {
  const now = edit ?? row;
  return (
    <tr data-key={row.key}>
      <td className="site">
        <code>{row.key}</code>
        {edit ? <strong> {PARAMETER_TABLE.changedNotSaved}</strong> : null}
      </td>
      <td className="num" data-label={PARAMETER_TABLE.value}>
        {number(now.value)}
      </td>
      <td>{row.unit}</td>
      <td className="num" data-label={PARAMETER_TABLE.spread}>
        {number(now.spread)}
      </td>
      <td className="num soft" data-label={PARAMETER_TABLE.default}>
        {row.default.value === row.value && row.default.spread === row.spread
          ? PARAMETER_TABLE.theSame
          : PARAMETER_TABLE.spread2(number(row.default.value), number(row.default.spread))}
      </td>
      <td className="soft">{sourceText(row.provenance)}</td>
      <td>
        {onOpen ? (
          <button type="button" className="button" onClick={onOpen} aria-label={PARAMETER_TABLE.edit2(row.key)}>
            {PARAMETER_TABLE.edit}
          </button>
        ) : null}
      </td>
    </tr>
  );
}

interface EditProps {
  row: Row;
  now: { value: number; spread: number };
  onDone: (to: { value: number; spread: number } | null) => void;
  onCancel: () => void;
}

function EditRow({ row, now, onDone, onCancel }: EditProps) {
  const [value, setValue] = useState(String(now.value));
  const [spread, setSpread] = useState(String(now.spread));
  const to = {
    value: value.trim() === "" ? Number.NaN : Number(value),
    spread: spread.trim() === "" ? Number.NaN : Number(spread),
  };
  const problem = overrideProblem(row, to);
  return (
    <tr data-key={row.key}>
      <td colSpan={7}>
        <form
          className="filters"
          onSubmit={(e) => {
            e.preventDefault();
            if (!problem) onDone(to);
          }}
          onKeyDown={(e) => e.key === "Escape" && onCancel()}
        >
          <code>{row.key}</code>
          <label>
            {PARAMETER_TABLE.value2(row.unit)}
            {/* biome-ignore lint/a11y/noAutofocus: the person asked for this field by pressing Edit */}
            <input type="text" inputMode="decimal" value={value} onChange={(e) => setValue(e.target.value)} autoFocus />
          </label>
          <label>
            {PARAMETER_TABLE.spread}
            <input type="text" inputMode="decimal" value={spread} onChange={(e) => setSpread(e.target.value)} />
          </label>
          <button type="submit" className="button main" disabled={problem !== null}>
            {PARAMETER_TABLE.set}
          </button>
          <button type="button" className="button" onClick={() => onDone(null)}>
            {PARAMETER_TABLE.asStored}
          </button>
          <button type="button" className="button" onClick={onCancel}>
            {PARAMETER_TABLE.cancel}
          </button>
          {problem ? <span role="status">{problem}</span> : null}
        </form>
      </td>
    </tr>
  );
}
