"use client";

import { useQuery, useQueryClient } from "@tanstack/react-query";
import Link from "next/link";
import { utcTime } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
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
    <Wide label="Drops so far">
      <table>
        <thead>
          <tr>
            <th scope="col">Drop</th>
            <th scope="col">Asked for</th>
            <th scope="col">State</th>
            <th scope="col" className="num">
              Rows
            </th>
            <th scope="col" className="num">
              Accepted
            </th>
            <th scope="col" className="num">
              Unchanged
            </th>
            <th scope="col" className="num">
              Set aside
            </th>
          </tr>
        </thead>
        <tbody>
          {imports.map((i) => (
            <tr key={i.importId}>
              <td>
                <Link href={`/imports/${encodeURIComponent(i.importId)}`}>{i.name}</Link>
              </td>
              <td>
                {utcTime(i.requestedAt)} by {i.requestedBy}
              </td>
              <td>
                <ImportState item={i} />
              </td>
              <td className="num">{i.rows.toLocaleString("en-US")}</td>
              <td className="num">{i.accepted.toLocaleString("en-US")}</td>
              <td className="num">{i.unchanged.toLocaleString("en-US")}</td>
              <td className="num">{i.setAside.toLocaleString("en-US")}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
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
