"use client";

import { useQuery, useQueryClient } from "@tanstack/react-query";
import Link from "next/link";
import { utcTime } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { IMPORT_VIEW } from "@/app/_words/imports.ts";
import type { ImportView as View } from "@/lib/reads/imports-view.ts";
import { ImportState } from "../imports-view.tsx";
import { MappingWork } from "./mapping-work.tsx";
import { SetAside } from "./set-aside.tsx";

const POLL_MS = 700;
const busy = (view: View | undefined) => view?.status === "running" || view?.status === "waiting";
const open = (view: View) => busy(view) || view.status === "asking";

async function fetchImport(importId: string): Promise<View> {
  const reply = await fetch(`/api/pages/imports/${encodeURIComponent(importId)}`);
  if (!reply.ok) throw new Error(IMPORT_VIEW.theImportCouldNot(reply.status));
  return (await reply.json()) as View;
}

export function ImportView({ importId }: { importId: string }) {
  const client = useQueryClient();
  const { data } = useQuery({
    queryKey: ["import", importId],
    queryFn: () => fetchImport(importId),
    refetchInterval: (q) => (busy(q.state.data) ? POLL_MS : false),
  });
  if (!data) return <p role="status">{IMPORT_VIEW.loading}</p>;
  const cancel = async () => {
    await fetch(`/api/pages/imports/${encodeURIComponent(importId)}/cancel`, { method: "POST" });
    await client.invalidateQueries({ queryKey: ["import", importId] });
  };
  return (
    <>
      <p>
        <Link href="/imports">{IMPORT_VIEW.allImports}</Link>
      </p>
      <h1>{data.name}</h1>
      <p>
        <ImportState item={data} />{" "}
        <span className="soft">{IMPORT_VIEW.askedForBy(utcTime(data.requestedAt), data.requestedBy)}</span>
      </p>
      {open(data) ? (
        <button type="button" className="button" onClick={cancel}>
          {IMPORT_VIEW.cancel}
        </button>
      ) : null}
      {data.status === "done" ? (
        <p>
          {IMPORT_VIEW.rowsAcceptedUnchangedSet(
            data.rows.toLocaleString("en-US"),
            data.accepted.toLocaleString("en-US"),
            data.unchanged.toLocaleString("en-US"),
            data.setAside.toLocaleString("en-US"),
          )}{" "}
          <Link href="/sites">{IMPORT_VIEW.toTheRankedSites}</Link>
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
      label={IMPORT_VIEW.filesOfThisDrop}
      className="ranked"
      rows={view.files}
      keyOf={(f) => f.file}
      columns={[
        { name: IMPORT_VIEW.file, cell: (f) => f.file },
        {
          name: IMPORT_VIEW.state,
          label: IMPORT_VIEW.state,
          cell: (f) =>
            f.status === "reading" && f.bytesTotal
              ? IMPORT_VIEW.reading(Math.floor((100 * f.bytesRead) / f.bytesTotal))
              : f.status,
        },
        { name: IMPORT_VIEW.rows, label: IMPORT_VIEW.rows, num: true, cell: (f) => f.rows.toLocaleString("en-US") },
        {
          name: IMPORT_VIEW.accepted,
          label: IMPORT_VIEW.accepted,
          num: true,
          cell: (f) => f.accepted.toLocaleString("en-US"),
        },
        {
          name: IMPORT_VIEW.unchanged,
          label: IMPORT_VIEW.unchanged,
          num: true,
          cell: (f) => f.unchanged.toLocaleString("en-US"),
        },
        {
          name: IMPORT_VIEW.setAside,
          label: IMPORT_VIEW.setAside,
          num: true,
          cell: (f) => f.setAside.toLocaleString("en-US"),
        },
        { name: IMPORT_VIEW.notes, label: IMPORT_VIEW.notes, cell: (f) => f.notes.join(". ") },
      ]}
    />
  );
}
