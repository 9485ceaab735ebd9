import Link from "next/link";
import { Facts } from "@/app/_ui/facts.tsx";
import { ageText } from "@/app/_ui/format.ts";
import { Note } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import { SYSTEM } from "@/app/_words/system.ts";
import type { SystemView } from "@/lib/reads/system-view.ts";

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
      <h1>{SYSTEM.title}</h1>
      {view.attention.length === 0 ? (
        <Note>{SYSTEM.quiet}</Note>
      ) : (
        <div className="note danger" role="alert">
          <strong>{SYSTEM.first}</strong>
          <ul>
            {view.attention.map((says) => (
              <li key={says}>{says}</li>
            ))}
          </ul>
        </div>
      )}
      <h2>{SYSTEM.newest}</h2>
      <p className="soft">{SYSTEM.newestSays}</p>
      <Table
        label={SYSTEM.newestByFeed}
        columns={[
          { name: SYSTEM.feed, head: true, cell: ({ what }) => what },
          { name: SYSTEM.newestRecord, cell: ({ newest }) => <Ago at={newest} now={now} never={SYSTEM.noneYet} /> },
        ]}
        rows={view.feeds}
        keyOf={({ what }) => what}
      />
      <p>
        <Link href="/imports">{SYSTEM.importsAndStations}</Link>
      </p>
      <h2>{SYSTEM.queue}</h2>
      <Table
        label={SYSTEM.queue}
        columns={[
          { name: SYSTEM.work, head: true, cell: ({ queue }) => SYSTEM.queues[queue] ?? queue },
          { name: SYSTEM.waiting, num: true, cell: ({ waiting }) => count(waiting) },
          { name: SYSTEM.atWork, num: true, cell: ({ active }) => count(active) },
        ]}
        rows={view.queues}
        keyOf={({ queue }) => queue}
      />
      <Facts
        facts={[
          [
            SYSTEM.workerSeen,
            <>
              <Ago at={worker.seenAt} now={now} never={SYSTEM.never} />
              {worker.running ? "" : SYSTEM.workerGone}
            </>,
          ],
          [SYSTEM.importsOpen, count(imports.open)],
          [SYSTEM.lastImport, <Ago key="import" at={imports.lastFinished} now={now} never={SYSTEM.noneYet} />],
          [SYSTEM.setAside, SYSTEM.setAside30(count(imports.setAsideLast), count(imports.setAside30Days))],
          [SYSTEM.lastScore, <Ago key="score" at={scores.lastComputed} now={now} never={SYSTEM.noneYet} />],
          [SYSTEM.sitesWait, SYSTEM.ofSites(count(scores.stale), count(scores.sites))],
          [SYSTEM.disk, SYSTEM.diskFree(sizeText(disk.freeBytes), sizeText(disk.totalBytes))],
          [SYSTEM.database, SYSTEM.postgres(database.version, sizeText(database.bytes))],
        ]}
      />
      <p className="soft">{SYSTEM.machines}</p>
    </>
  );
}
