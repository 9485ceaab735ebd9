"use client";

import { useQuery, useQueryClient } from "@tanstack/react-query";
import Link from "next/link";
import { utcTime } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { IMPORTS_VIEW } from "@/app/_words/imports.ts";
import type { ImportSummary } from "@/lib/reads/imports-view.ts";
import { UploadBox } from "./upload-box.tsx";
import { WeatherFeedPanel } from "./weather-feed-panel.tsx";

const POLL_MS = 1000;
const busy = (i: ImportSummary) => i.status === "running" || i.status === "waiting";

async function fetchImports(): Promise<ImportSummary[]> {
  const reply = await fetch("/api/pages/imports");
  if (!reply.ok) throw new Error(IMPORTS_VIEW.theListCouldNot(reply.status));
  return (await reply.json()) as ImportSummary[];
}

export function ImportsView() {
  const client = useQueryClient();
  const { data, error } = useQuery({
    queryKey: ["imports"],
    queryFn: fetchImports,
    refetchInterval: (q) => (q.state.data?.some(busy) ? POLL_MS : 10_000),
  });
  return (
    <>
      <h1>{IMPORTS_VIEW.imports}</h1>
      <p className="soft">
        {IMPORTS_VIEW.aDropIsAny} <Link href="/begin">{IMPORTS_VIEW.firstStepsAndThe}</Link>
      </p>
      <UploadBox onDone={() => client.invalidateQueries({ queryKey: ["imports"] })} />
      <h2>{IMPORTS_VIEW.dropsSoFar}</h2>
      {error ? (
        <p className="note danger" role="alert">
          {IMPORTS_VIEW.theListCouldNotBe}
        </p>
      ) : null}
      {data && data.length === 0 ? <p className="empty">{IMPORTS_VIEW.nothingHasBeenImported}</p> : null}
      {data && data.length > 0 ? <ImportsTable imports={data} /> : null}
      <WeatherFeedPanel />
    </>
  );
}

function ImportsTable({ imports }: { imports: ImportSummary[] }) {
  return (
    <Table
      label={IMPORTS_VIEW.dropsSoFar}
      className="ranked"
      rows={imports}
      keyOf={(i) => i.importId}
      columns={[
        {
          name: IMPORTS_VIEW.drop,
          cell: (i) => <Link href={`/imports/${encodeURIComponent(i.importId)}`}>{i.name}</Link>,
        },
        {
          name: IMPORTS_VIEW.askedFor,
          label: IMPORTS_VIEW.askedFor,
          cell: (i) => IMPORTS_VIEW.by(utcTime(i.requestedAt), i.requestedBy),
        },
        { name: IMPORTS_VIEW.state, label: IMPORTS_VIEW.state, cell: (i) => <ImportState item={i} /> },
        { name: IMPORTS_VIEW.rows, label: IMPORTS_VIEW.rows, num: true, cell: (i) => i.rows.toLocaleString("en-US") },
        {
          name: IMPORTS_VIEW.accepted,
          label: IMPORTS_VIEW.accepted,
          num: true,
          cell: (i) => i.accepted.toLocaleString("en-US"),
        },
        {
          name: IMPORTS_VIEW.unchanged,
          label: IMPORTS_VIEW.unchanged,
          num: true,
          cell: (i) => i.unchanged.toLocaleString("en-US"),
        },
        {
          name: IMPORTS_VIEW.setAside,
          label: IMPORTS_VIEW.setAside,
          num: true,
          cell: (i) => i.setAside.toLocaleString("en-US"),
        },
      ]}
    />
  );
}

/** State in a word, with a bar while it runs. */
export function ImportState({ item }: { item: Pick<ImportSummary, "status" | "progress" | "error"> }) {
  if (item.status === "running") {
    const share = item.progress ?? 0;
    return (
      <span role="status">
        {IMPORTS_VIEW.running(Math.floor(share * 100))}{" "}
        <progress value={share} max={1} aria-label={IMPORTS_VIEW.progressOfTheImport} />
      </span>
    );
  }
  return (
    <span>
      {item.status === "asking" ? IMPORTS_VIEW.waitsForYourWord : item.status}
      {item.error ? `: ${item.error}` : ""}
    </span>
  );
}
