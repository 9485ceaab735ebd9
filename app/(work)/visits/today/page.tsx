import type { Metadata } from "next";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Distance } from "@/app/_ui/units.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { TODAY_PAGE } from "@/app/_words/visits.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readToday, TodayQuery, type TodayView } from "@/lib/reads/today.ts";
import { readVisits } from "@/lib/reads/visits.ts";

export const metadata: Metadata = { title: TODAY_PAGE.today };
export const dynamic = "force-dynamic";

/** Stops shown where no plan went out: more than anybody drives in a day. */
const STOPS = 12;

interface Props {
  searchParams: Promise<Record<string, string | string[] | undefined>>;
}

// The plan that went out decides. Plain links: each opens whole, also without signal.
export default async function TodayPage({ searchParams }: Props) {
  const asked = TodayQuery.safeParse(await searchParams);
  const view = await readToday(await currentActor(), asked.success ? asked.data : {});
  return (
    <>
      <h1>{view.isToday ? TODAY_PAGE.today : view.day}</h1>
      <CrewForm view={view} />
      {view.crew && view.route ? <Route view={view} route={view.route} /> : null}
      {view.crew && !view.route ? <p>{TODAY_PAGE.noConfirmedPlanKnows(view.crew.name)}</p> : null}
      {view.crew && view.next ? (
        <p>
          <a href={`/visits/today?crew=${encodeURIComponent(view.crew.crewId)}&day=${view.next}`}>
            {TODAY_PAGE.nextDayWithStops(view.next)}
          </a>
        </p>
      ) : null}
      {view.crew && (view.route || view.next) ? null : <HeadOfQueue />}
    </>
  );
}

function CrewForm({ view }: { view: TodayView }) {
  if (view.crews.length < 2) return null;
  return (
    <form className="filters" method="get">
      <label>
        {TODAY_PAGE.crew}
        <select name="crew" defaultValue={view.crew?.crewId ?? ""} required>
          <option value="" disabled>
            {TODAY_PAGE.chooseYours}
          </option>
          {view.crews.map(({ crewId, name }) => (
            <option key={crewId} value={crewId}>
              {name}
            </option>
          ))}
        </select>
      </label>
      {view.isToday ? null : <input type="hidden" name="day" value={view.day} />}
      <button type="submit" className="button">
        {TODAY_PAGE.show}
      </button>
    </form>
  );
}

function Route({ view, route }: { view: TodayView; route: NonNullable<TodayView["route"]> }) {
  return (
    <>
      <p>
        {view.crew?.name}, {view.day}. {route.closed ? TODAY_PAGE.thisCrewIsOff : null}
        {route.stops.length > 0 ? (
          <>
            {TODAY_PAGE.leave} {route.leave}
            {TODAY_PAGE.back} {route.return}, <Distance km={route.km} />
            {TODAY_PAGE.openEachOnceWhile}
          </>
        ) : (
          TODAY_PAGE.noStopIsPlanned
        )}
      </p>
      <ol className="stops">
        {route.stops.map((stop) => (
          <li key={stop.visitId}>
            <a href={`/visits/${encodeURIComponent(stop.visitId)}`}>
              <Urgency value={stop.urgency} /> <strong>{stop.siteName}</strong>
              <br />
              {TODAY_PAGE.to(stop.start, stop.depart)} <Distance km={stop.driveKm} />{" "}
              {TODAY_PAGE.drive(
                stop.promised ? TODAY_PAGE.promised : "",
                stop.done ? TODAY_PAGE.done : stop.begun ? TODAY_PAGE.underWay : "",
              )}
            </a>
          </li>
        ))}
      </ol>
    </>
  );
}

async function HeadOfQueue() {
  const view = await readVisits(await currentActor());
  return (
    <>
      <p>{TODAY_PAGE.noPlanWentOut}</p>
      <ol className="stops">
        {view.visits.slice(0, STOPS).map((visit) => (
          <li key={visit.visit_id}>
            <a href={`/visits/${encodeURIComponent(visit.visit_id)}`}>
              <Urgency value={visit.urgency} /> <strong>{visit.siteName}</strong>
              <Isolated since={view.isolated[visit.site_id]} />
              <br />
              {TODAY_PAGE.hChecks(visit.hours_on_site, visit.checklist.length)}
            </a>
          </li>
        ))}
      </ol>
      {view.visits.length === 0 ? <p>{TODAY_PAGE.noVisitIsQueued}</p> : null}
    </>
  );
}
