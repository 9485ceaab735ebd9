import type { Metadata } from "next";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { currentActor } from "@/lib/reads/actor.ts";
import { readVisits } from "@/lib/reads/visits.ts";

export const metadata: Metadata = { title: "Today" };
export const dynamic = "force-dynamic";

/** Stops shown: more than anybody drives in a day. */
const STOPS = 12;

// Until crews are planned, the stops are the head of the queue. Plain links: each opens whole, also without signal.
export default async function TodayPage() {
  const view = await readVisits(await currentActor());
  return (
    <>
      <h1>Today</h1>
      <p>No route is planned yet: these are the first stops of the queue. Open each once while there is signal.</p>
      <ol className="stops">
        {view.visits.slice(0, STOPS).map((visit) => (
          <li key={visit.visit_id}>
            <a href={`/visits/${encodeURIComponent(visit.visit_id)}`}>
              <Urgency value={visit.urgency} /> <strong>{visit.siteName}</strong>
              <Isolated since={view.isolated[visit.site_id]} />
              <br />
              {visit.hours_on_site} h, {visit.checklist.length} checks
            </a>
          </li>
        ))}
      </ol>
      {view.visits.length === 0 ? <p>No visit is queued. That is no clearance.</p> : null}
    </>
  );
}
