"use client";

import { useQuery, useQueryClient } from "@tanstack/react-query";
import Link from "next/link";
import { utcTime } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { ImportView as View } from "@/lib/reads/imports-view.ts";
import { ImportState } from "../imports-view.tsx";
import { MappingWork } from "./mapping-work.tsx";
import { SetAside } from "./set-aside.tsx";

const POLL_MS = 700;
const busy = (view: View | undefined) => view?.status === "running" || view?.status === "waiting";
const open = (view: View) => busy(view) || view.status === "asking";

async function fetchImport(importId: string): Promise<View> {
  const reply = await fetch(`/api/pages/imports/${encodeURIComponent(importId)}`);
  if (!reply.ok) throw new Error(`The import could not be read (${reply.status}).`);
  return (await reply.json()) as View;
}

export function ImportView({ importId }: { importId: string }) {
  const client = useQueryClient();
  const { data } = useQuery({
    queryKey: ["import", importId],
    queryFn: () => fetchImport(importId),
    refetchInterval: (q) => (busy(q.state.data) ? POLL_MS : false),
  });
  if (!data) return <p role="status">Loading …</p>;
  const cancel = async () => {
    await fetch(`/api/pages/imports/${encodeURIComponent(importId)}/cancel`, { method: "POST" });
    await client.invalidateQueries({ queryKey: ["import", importId] });
  };
  return (
    <>
      <p>
        <Link href="/imports">All imports</Link>
      </p>
      <h1>{data.name}</h1>
      <p>
        <ImportState item={data} />{" "}
        <span className="soft">
          asked for {utcTime(data.requestedAt)} by {data.requestedBy}
        </span>
      </p>
      {open(data) ? (
        <button type="button" className="button" onClick={cancel}>
          Cancel
        </button>
      ) : null}
      {data.status === "done" ? (
        <p>
          {data.rows.toLocaleString("en-US")} rows: {data.accepted.toLocaleString("en-US")} accepted,{" "}
          {data.unchanged.toLocaleString("en-US")} unchanged, {data.setAside.toLocaleString("en-US")} set aside.{" "}
          <Link href="/sites">To the ranked sites</Link>
        </p>
      ) : null}
      {data.status === "asking" ? (
        <MappingWork
          importId={importId}
          onStarted={() => client.invalidateQueries({ queryKey: ["import", importId] })}
        />
      ) : (
        <FilesTable view={data} />
      )}
      <SetAside view={data} onSent={() => client.invalidateQueries({ queryKey: ["import", importId] })} />
    </>
  );
}

function FilesTable({ view }: { view: View }) {
  return (
    <Wide label="Files of this drop">
      <table>
        <caption className="visually-hidden">Files of this drop</caption>
        <thead>
          <tr>
            <th scope="col">File</th>
            <th scope="col">State</th>
            {["Rows", "Accepted", "Unchanged", "Set aside"].map((name) => (
              <th key={name} scope="col" className="num">
                {name}
              </th>
            ))}
            <th scope="col">Notes</th>
          </tr>
        </thead>
        <tbody>
          {view.files.map((f) => (
            <tr key={f.file}>
              <td>{f.file}</td>
              <td>
                {f.status === "reading" && f.bytesTotal
                  ? `reading ${Math.floor((100 * f.bytesRead) / f.bytesTotal)} %`
                  : f.status}
              </td>
              {[f.rows, f.accepted, f.unchanged, f.setAside].map((n, i) => (
                <td key={i} className="num">
                  {n.toLocaleString("en-US")}
                </td>
              ))}
              <td>{f.notes.join(". ")}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
