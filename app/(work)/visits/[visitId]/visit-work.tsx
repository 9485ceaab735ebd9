"use client";

import { useEffect, useState } from "react";
import { words } from "@/app/_ui/format.ts";
import type { VisitView } from "@/lib/reads/visits-view.ts";
import { unreadStops } from "@/lib/visit/stop-draft.ts";
import { pairOf, standingStops } from "@/lib/visit/stop-rule.ts";
import { voltReadings } from "@/lib/visit/visit-records.ts";
import { Closing } from "./closing.tsx";
import { Conflicts } from "./conflicts.tsx";
import { keepOffline } from "./keep-offline.ts";
import { OffTheList } from "./off-the-list.tsx";
import { OnSite } from "./on-site.tsx";
import { pointName, pointsOf } from "./points.ts";
import { StopScreen } from "./stop-screen.tsx";
import { useVisitLog, type VisitLog } from "./use-visit-log.ts";
import type { NotTaken } from "./visit-log.ts";
import { WorkItem } from "./work-item.tsx";
import { useWorker, WorkerFields } from "./worker-fields.tsx";

/** The visit as it is worked on, with or without signal. */
export function VisitWork({ view }: { view: VisitView }) {
  const { visit, site } = view;
  const log = useVisitLog(visit.visit_id, site.siteId);
  const [worker, setWorker] = useWorker();
  const [offline, setOffline] = useState(false);
  const [read, setRead] = useState<ReadonlySet<string>>(new Set());
  useEffect(() => {
    keepOffline().then(setOffline, () => setOffline(false));
  }, []);
  const stops = standingStops(voltReadings(log.edits));
  const unread = unreadStops(stops, read).at(-1);
  const stopStands = stops.length > 0;
  const place = { visitId: visit.visit_id, siteId: site.siteId };
  const points = pointsOf(visit.checklist, view.pieces);
  return (
    <div className="visit-work no-print" data-ready={log.ready} data-offline={offline} data-waiting={log.waiting}>
      {unread ? (
        <StopScreen
          stop={unread}
          phone={site.emergencyPhone ?? site.contactPhone}
          onRead={() => setRead(new Set([...read, ...stops.map((stop) => stop.id)]))}
        />
      ) : null}
      <SyncLine log={log} offline={offline} />
      <NotTakenRows rows={log.notTaken} />
      {stops.map((stop) => (
        <p key={stop.id} className="note danger">
          STOP stands: {Math.abs(stop.volts)} V from {pointName(stop.pointA)} to {pointName(stop.pointB)}, read by{" "}
          {stop.inspector ?? "a person not named"}. No work.
          {pairOf(stop) ? "" : " Its two points are not said, so nothing lowers it: write it again with them."}
        </p>
      ))}
      <WorkerFields worker={worker} onChange={setWorker} />
      <OnSite log={log} worker={worker} stopStands={stopStands} hoursOnSite={visit.hours_on_site} />
      <h2>Checks, as you walk</h2>
      {visit.checklist.map((item, i) => (
        <WorkItem key={i} number={i + 1} {...{ item, log, worker, place, points, stopStands }} sent={view.photos} />
      ))}
      <OffTheList edits={log.edits} checklist={visit.checklist} gone={view.gone} />
      <Conflicts log={log} worker={worker} />
      <Closing log={log} worker={worker} stopStands={stopStands} />
    </div>
  );
}

function SyncLine({ log, offline }: { log: VisitLog; offline: boolean }) {
  return (
    <>
      <p className="sync-line" role="status">
        {waitingWords(log.waiting)}{" "}
        {offline ? "This page opens without signal." : "This page is not yet kept for use without signal."}
        {log.trouble ? ` ${log.trouble}` : ""}
      </p>
      {log.unkept > 0 ? (
        <p className="note danger">
          This phone keeps nothing of {log.unkept === 1 ? "1 edit" : `${log.unkept} edits`}: leave this page open until
          everything is sent.
        </p>
      ) : null}
    </>
  );
}

/** What the server could not take among the records: somebody has to write it again. */
function NotTakenRows({ rows }: { rows: NotTaken[] }) {
  if (rows.length === 0) return null;
  return (
    <section className="note danger" aria-label="Not taken into the records">
      <p>Written down, but not taken into the records. Write it again, or tell your dispatcher:</p>
      <ul>
        {rows.map((row, i) => (
          <li key={i}>
            {words(row.column)}: "{row.value.length > 60 ? `${row.value.slice(0, 60)}…` : row.value}": {row.reason}
          </li>
        ))}
      </ul>
    </section>
  );
}

function waitingWords(waiting: number): string {
  if (waiting === 0) return "Everything written here is sent.";
  return waiting === 1 ? "1 edit waits to be sent." : `${waiting} edits wait to be sent.`;
}
