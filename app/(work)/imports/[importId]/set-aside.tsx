"use client";

import { useMutation } from "@tanstack/react-query";
import Link from "next/link";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
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
  if (view.setAsideRows.length === 0) return null;
  const changed = Object.keys(edited).length;
  return (
    <section aria-label="Rows set aside">
      <h2>Rows set aside</h2>
      <p>
        Correct them here and send them in again, or download them, correct the file and import it.{" "}
        <a className="button" href={`${base}/set-aside`}>
          Download the rows set aside
        </a>
      </p>
      <Wide label="Rows set aside">
        <table>
          <thead>
            <tr>
              <th scope="col">File</th>
              <th scope="col" className="num">
                Line
              </th>
              <th scope="col">Column</th>
              <th scope="col">Value</th>
              <th scope="col">Why</th>
              <th scope="col">Correct</th>
            </tr>
          </thead>
          <tbody>
            {view.setAsideRows.map((row) => (
              <AsideRow
                key={keyOf(row)}
                row={row}
                cells={edited[keyOf(row)] ?? null}
                onEdit={(cells) =>
                  setEdited(({ [keyOf(row)]: _, ...others }) => (cells ? { ...others, [keyOf(row)]: cells } : others))
                }
              />
            ))}
          </tbody>
        </table>
      </Wide>
      {view.setAside > view.setAsideRows.length ? (
        <p className="soft">
          The first {view.setAsideRows.length} of {view.setAside}; the download has all.
        </p>
      ) : null}
      <p className="buttons">
        <button
          type="button"
          className="button main"
          disabled={changed === 0 || send.isPending}
          onClick={() => send.mutate()}
        >
          {changed === 0 ? "Send corrected rows in" : `Send ${changed} corrected ${changed === 1 ? "row" : "rows"} in`}
        </button>
        {send.data ? (
          <Link href={`/imports/${encodeURIComponent(send.data.importId)}`}>Sent in: see what came of it</Link>
        ) : null}
      </p>
      <Trouble says={send.error?.message} />
    </section>
  );
}

function AsideRow({
  row,
  cells,
  onEdit,
}: {
  row: Row;
  cells: string[] | null;
  onEdit: (cells: string[] | null) => void;
}) {
  return (
    <>
      <tr>
        <td>{row.file}</td>
        <td className="num">{row.line}</td>
        <td>{row.column}</td>
        <td>{row.value}</td>
        <td>{row.reason}</td>
        <td>
          {row.sentIn ? (
            <Link href={`/imports/${encodeURIComponent(row.sentIn)}`}>sent in again</Link>
          ) : row.header.length === 0 ? (
            <span className="soft">in the download</span>
          ) : (
            <button
              type="button"
              className="button"
              aria-expanded={cells !== null}
              onClick={() => onEdit(cells ? null : row.cells)}
            >
              {cells ? "Leave as it was" : "Correct"}
            </button>
          )}
        </td>
      </tr>
      {cells ? (
        <tr>
          <td colSpan={6}>
            <div className="filters">
              {row.header.map((name, i) => (
                <label key={`${i}/${name}`}>
                  {name}
                  {name === row.column ? " (the reason)" : ""}
                  <input
                    type="text"
                    value={cells[i] ?? ""}
                    onChange={(event) => onEdit(cells.map((cell, at) => (at === i ? event.target.value : cell)))}
                  />
                </label>
              ))}
            </div>
          </td>
        </tr>
      ) : null}
    </>
  );
}
