"use client";

import { useQuery, useQueryClient } from "@tanstack/react-query";
import Link from "next/link";
import { utcTime } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import type { ImportSummary } from "@/lib/reads/imports-view.ts";
import { UploadBox } from "./upload-box.tsx";
import { WeatherFeedPanel } from "./weather-feed-panel.tsx";

const POLL_MS = 1000;
const busy = (i: ImportSummary) => i.status === "running" || i.status === "waiting";

async function fetchImports(): Promise<ImportSummary[]> {
  const reply = await fetch("/api/pages/imports");
  if (!reply.ok) throw new Error(`The list could not be refreshed (${reply.status}).`);
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
      <h1>Imports</h1>
      <p className="soft">
        A drop is any set of the contract’s files (sites, inverters, sections, codes, faults, telemetry, readings,
        stations, weather, inspections, repairs, visits, crews, coverage), plain or gzip, or tables of your own.
        Importing one again changes nothing. <Link href="/begin">First steps and the demo</Link>
      </p>
      <UploadBox onDone={() => client.invalidateQueries({ queryKey: ["imports"] })} />
      <h2>Drops so far</h2>
      {error ? (
        <p className="note danger" role="alert">
          The list could not be refreshed; it is tried again by itself.
        </p>
      ) : null}
      {data && data.length === 0 ? <p className="empty">Nothing has been imported yet.</p> : null}
      {data && data.length > 0 ? <ImportsTable imports={data} /> : null}
      <WeatherFeedPanel />
    </>
  );
}

function ImportsTable({ imports }: { imports: ImportSummary[] }) {
  return (
    <Table
      label="Drops so far"
      className="ranked"
      rows={imports}
      keyOf={(i) => i.importId}
      columns={[
        { name: "Drop", cell: (i) => <Link href={`/imports/${encodeURIComponent(i.importId)}`}>{i.name}</Link> },
        { name: "Asked for", label: "Asked for", cell: (i) => `${utcTime(i.requestedAt)} by ${i.requestedBy}` },
        { name: "State", label: "State", cell: (i) => <ImportState item={i} /> },
        { name: "Rows", label: "Rows", num: true, cell: (i) => i.rows.toLocaleString("en-US") },
        { name: "Accepted", label: "Accepted", num: true, cell: (i) => i.accepted.toLocaleString("en-US") },
        { name: "Unchanged", label: "Unchanged", num: true, cell: (i) => i.unchanged.toLocaleString("en-US") },
        { name: "Set aside", label: "Set aside", num: true, cell: (i) => i.setAside.toLocaleString("en-US") },
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
        running {Math.floor(share * 100)} % <progress value={share} max={1} aria-label="Progress of the import" />
      </span>
    );
  }
  return (
    <span>
      {item.status === "asking" ? "waits for your word on its columns" : item.status}
      {item.error ? `: ${item.error}` : ""}
    </span>
  );
}
