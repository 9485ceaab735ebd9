"use client";

import { useEffect, useState } from "react";
import { words } from "@/app/_ui/format.ts";
import { VISIT_WORK } from "@/app/_words/visit.ts";
import type { VisitView } from "@/lib/reads/visits-view.ts";
import { unreadStops } from "@/lib/visit/stop-draft.ts";
import { pairOf, standingStops } from "@/lib/visit/stop-rule.ts";
import { voltReadings } from "@/lib/visit/visit-records.ts";
import { CheckIndex } from "./check-index.tsx";
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
          {VISIT_WORK.stopStandsVFrom(
            Math.abs(stop.volts),
            pointName(stop.pointA),
            pointName(stop.pointB),
            stop.inspector ?? VISIT_WORK.aPersonNotNamed,
            pairOf(stop) ? "" : VISIT_WORK.itsTwoPointsAre,
          )}
        </p>
      ))}
      <WorkerFields worker={worker} onChange={setWorker} />
      <OnSite log={log} worker={worker} stopStands={stopStands} hoursOnSite={visit.hours_on_site} />
      <h2>{VISIT_WORK.checksAsYouWalk}</h2>
      <CheckIndex checklist={visit.checklist} log={log} worker={worker} />
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
        {waitingWords(log.waiting)} {offline ? VISIT_WORK.thisPageOpensWithout : VISIT_WORK.thisPageIsNot}
        {log.trouble ? ` ${log.trouble}` : ""}
      </p>
      {log.unkept > 0 ? (
        <p className="note danger">
          {VISIT_WORK.thisPhoneKeepsNothing(log.unkept === 1 ? VISIT_WORK.edit : VISIT_WORK.edits(log.unkept))}
        </p>
      ) : null}
    </>
  );
}

/** What the server could not take among the records: somebody has to write it again. */
function NotTakenRows({ rows }: { rows: NotTaken[] }) {
  if (rows.length === 0) return null;
  return (
    <section className="note danger" aria-label={VISIT_WORK.notTakenIntoThe}>
      <p>{VISIT_WORK.writtenDownButNot}</p>
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
  if (waiting === 0) return VISIT_WORK.everythingWrittenHereIs;
  return waiting === 1 ? VISIT_WORK.editWaitsToBe : VISIT_WORK.editsWaitToBe(waiting);
}
