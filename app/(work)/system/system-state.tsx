import Link from "next/link";
import { ageText } from "@/app/_ui/format.ts";
import { Note } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import type { SystemView } from "@/lib/reads/system-view.ts";

const QUEUE_WORDS: Record<string, string> = {
  "import.run": "Imports",
  "site.score": "Scores",
  "weather.fetch": "Weather over the network",
  "loss.run": "Losses of books",
  "notice.send": "Notices",
  "plan.run": "Plans asked for over the API",
};
const sizeText = (bytes: number) => (bytes < 1e9 ? `${Math.round(bytes / 1e6)} MB` : `${(bytes / 1e9).toFixed(1)} GB`);
const count = (n: number) => n.toLocaleString("en-US");

/** A time and how long ago that was. */
function Ago({ at, now, never }: { at: string | null; now: string; never: string }) {
  return at === null ? (
    never
  ) : (
    <>
      <When at={at} />, {ageText(at, now)}
    </>
  );
}

/** How this installation is: what needs a person first, then feeds, work, scores and room. */
export function SystemState({ view }: { view: SystemView }) {
  const { now, imports, scores, worker, disk, database } = view;
  return (
    <>
      <h1>System</h1>
      {view.attention.length === 0 ? (
        <Note>Nothing that is watched here needs you. That says nothing about any site.</Note>
      ) : (
        <div className="note danger" role="alert">
          <strong>Look at this first.</strong>
          <ul>
            {view.attention.map((says) => (
              <li key={says}>{says}</li>
            ))}
          </ul>
        </div>
      )}
      <h2>Newest records</h2>
      <p className="soft">
        A feed that stopped looks like a quiet fleet. What was not delivered is unknown, never fault-free.
      </p>
      <Table
        label="Newest records by feed"
        columns={[
          { name: "Feed", head: true, cell: ({ what }) => what },
          { name: "Newest record", cell: ({ newest }) => <Ago at={newest} now={now} never="none yet" /> },
        ]}
        rows={view.feeds}
        keyOf={({ what }) => what}
      />
      <p>
        <Link href="/imports">Imports and each weather station</Link>
      </p>
      <h2>Work in the queue</h2>
      <Table
        label="Work in the queue"
        columns={[
          { name: "Work", head: true, cell: ({ queue }) => QUEUE_WORDS[queue] ?? queue },
          { name: "Waiting", num: true, cell: ({ waiting }) => count(waiting) },
          { name: "At work", num: true, cell: ({ active }) => count(active) },
        ]}
        rows={view.queues}
        keyOf={({ queue }) => queue}
      />
      <dl className="facts">
        <dt>Worker last heard of</dt>
        <dd>
          <Ago at={worker.seenAt} now={now} never="never" />
          {worker.running ? "" : " (none seems to run)"}
        </dd>
        <dt>Imports waiting or running</dt>
        <dd>{count(imports.open)}</dd>
        <dt>Last import finished</dt>
        <dd>
          <Ago at={imports.lastFinished} now={now} never="none yet" />
        </dd>
        <dt>Rows it set aside</dt>
        <dd>
          {count(imports.setAsideLast)}, {count(imports.setAside30Days)} in the last 30 days
        </dd>
        <dt>Last score computed</dt>
        <dd>
          <Ago at={scores.lastComputed} now={now} never="none yet" />
        </dd>
        <dt>Sites that wait for a score</dt>
        <dd>
          {count(scores.stale)} of {count(scores.sites)}
        </dd>
        <dt>Room on the disk</dt>
        <dd>
          {sizeText(disk.freeBytes)} of {sizeText(disk.totalBytes)} free
        </dd>
        <dt>Database</dt>
        <dd>
          PostgreSQL {database.version}, {sizeText(database.bytes)}
        </dd>
      </dl>
      <p className="soft">
        For machines: /api/health/live, /api/health/ready and /api/metrics. On the command line: npm run raintrip --
        doctor.
      </p>
    </>
  );
}
