"use client";

import { useMutation } from "@tanstack/react-query";
import Link from "next/link";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { SET_ASIDE } from "@/app/_words/imports.ts";
import type { ImportView as View } from "@/lib/reads/imports-view.ts";

type Row = View["setAsideRows"][number];
const keyOf = (row: Row) => `${row.position}/${row.line}`;

/** Rows set aside, with their reasons: corrected here and sent in again, or downloaded. */
export function SetAside({ view, onSent }: { view: View; onSent: () => void }) {
  const [edited, setEdited] = useState<Record<string, string[]>>({});
  const base = `/api/pages/imports/${encodeURIComponent(view.importId)}`;
  const send = useMutation({
    mutationFn: () =>
      postJson<{ importId: string }>(`${base}/corrections`, {
        rows: view.setAsideRows
          .filter((row) => edited[keyOf(row)])
          .map((row) => ({ position: row.position, line: row.line, cells: edited[keyOf(row)] })),
      }),
    onSuccess: () => {
      setEdited({});
      onSent();
    },
  });
  const edit = (row: Row) => (cells: string[] | null) =>
    setEdited(({ [keyOf(row)]: _, ...others }) => (cells ? { ...others, [keyOf(row)]: cells } : others));
  if (view.setAsideRows.length === 0) return null;
  const changed = Object.keys(edited).length;
  return (
    <section aria-label={SET_ASIDE.rowsSetAside}>
      <h2>{SET_ASIDE.rowsSetAside}</h2>
      <p>
        {SET_ASIDE.correctThemHereAnd}{" "}
        <a className="button" href={`${base}/set-aside`}>
          {SET_ASIDE.downloadTheRowsSet}
        </a>
      </p>
      <Table
        label={SET_ASIDE.rowsSetAside}
        rows={view.setAsideRows}
        keyOf={keyOf}
        columns={[
          { name: SET_ASIDE.file, cell: (row) => row.file },
          { name: SET_ASIDE.line, num: true, cell: (row) => row.line },
          { name: SET_ASIDE.column, cell: (row) => row.column },
          { name: SET_ASIDE.value, cell: (row) => row.value },
          { name: SET_ASIDE.why, cell: (row) => row.reason },
          {
            name: SET_ASIDE.correct,
            cell: (row) => <Correct row={row} cells={edited[keyOf(row)] ?? null} onEdit={edit(row)} />,
          },
        ]}
        below={(row) => {
          const cells = edited[keyOf(row)];
          return cells ? <RowCells row={row} cells={cells} onEdit={edit(row)} /> : null;
        }}
      />
      {view.setAside > view.setAsideRows.length ? (
        <p className="soft">{SET_ASIDE.theFirstOfThe(view.setAsideRows.length, view.setAside)}</p>
      ) : null}
      <p className="buttons">
        <button
          type="button"
          className="button main"
          disabled={changed === 0 || send.isPending}
          onClick={() => send.mutate()}
        >
          {changed === 0
            ? SET_ASIDE.sendCorrectedRowsIn
            : SET_ASIDE.sendCorrectedIn(changed, changed === 1 ? "row" : "rows")}
        </button>
        {send.data ? (
          <Link href={`/imports/${encodeURIComponent(send.data.importId)}`}>{SET_ASIDE.sentInSeeWhat}</Link>
        ) : null}
      </p>
      <Trouble says={send.error?.message} />
    </section>
  );
}

interface RowProps {
  row: Row;
  onEdit: (cells: string[] | null) => void;
}

function Correct({ row, cells, onEdit }: RowProps & { cells: string[] | null }) {
  if (row.sentIn) return <Link href={`/imports/${encodeURIComponent(row.sentIn)}`}>{SET_ASIDE.sentInAgain}</Link>;
  if (row.header.length === 0) return <span className="soft">{SET_ASIDE.inTheDownload}</span>;
  return (
    <button
      type="button"
      className="button"
      aria-expanded={cells !== null}
      onClick={() => onEdit(cells ? null : row.cells)}
    >
      {cells ? SET_ASIDE.leaveAsItWas : SET_ASIDE.correct}
    </button>
  );
}

function RowCells({ row, cells, onEdit }: RowProps & { cells: string[] }) {
  return (
    <div className="filters">
      {row.header.map((name, i) => (
        <label key={`${i}/${name}`}>
          {name}
          {name === row.column ? SET_ASIDE.theReason : ""}
          <input
            type="text"
            value={cells[i] ?? ""}
            onChange={(event) => onEdit(cells.map((cell, at) => (at === i ? event.target.value : cell)))}
          />
        </label>
      ))}
    </div>
  );
}
