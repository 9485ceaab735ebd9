"use client";

import { useQuery, useQueryClient } from "@tanstack/react-query";
import Link from "next/link";
import { utcTime } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
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
    <Table
      label="Files of this drop"
      className="ranked"
      rows={view.files}
      keyOf={(f) => f.file}
      columns={[
        { name: "File", cell: (f) => f.file },
        {
          name: "State",
          label: "State",
          cell: (f) =>
            f.status === "reading" && f.bytesTotal
              ? `reading ${Math.floor((100 * f.bytesRead) / f.bytesTotal)} %`
              : f.status,
        },
        { name: "Rows", label: "Rows", num: true, cell: (f) => f.rows.toLocaleString("en-US") },
        { name: "Accepted", label: "Accepted", num: true, cell: (f) => f.accepted.toLocaleString("en-US") },
        { name: "Unchanged", label: "Unchanged", num: true, cell: (f) => f.unchanged.toLocaleString("en-US") },
        { name: "Set aside", label: "Set aside", num: true, cell: (f) => f.setAside.toLocaleString("en-US") },
        { name: "Notes", label: "Notes", cell: (f) => f.notes.join(". ") },
      ]}
    />
  );
}
