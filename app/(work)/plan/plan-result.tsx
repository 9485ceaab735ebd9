import Link from "next/link";
import { money, words } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import type { PlanView } from "@/lib/reads/plan-view.ts";
import { DayStrip } from "./day-strip.tsx";

const clock = (time: string) => time.slice(11, 16);

/** A plan: a strip and a list for each crew and day, and who is not visited and why. */
export function PlanResult({ plan }: { plan: PlanView }) {
  const km = (route: PlanView["routes"][number]) =>
    Math.round(route.return_km + route.stops.reduce((sum, stop) => sum + stop.drive_km, 0));
  return (
    <>
      <p>
        {plan.routes.reduce((sum, route) => sum + route.stops.length, 0)} visits avoid{" "}
        {money(plan.objective, plan.currency)} a year.{" "}
        {plan.gap === null
          ? "How far a better plan could go is not proven."
          : `No plan with the same make-safe and promised visits avoids more than ${(100 * plan.gap).toFixed(2)} % above that.`}
      </p>
      {plan.withoutForecast.length > 0 ? (
        <p className="note">
          No forecast covers these days at {plan.withoutForecast.length} sites with roof work. Look at the sky before
          anyone climbs: no roof work in rain, wind, lightning or frost, or on a wet roof.
        </p>
      ) : null}
      {plan.routes.length === 0 ? <p className="empty">No crew can make a visit on these days.</p> : null}
      {plan.routes.map((route) => (
        <section key={`${route.crew_id} ${route.date}`}>
          <h2>
            {route.date} · {plan.crewNames[route.crew_id] ?? route.crew_id}
          </h2>
          <p className="soft">
            {clock(route.leave)} to {clock(route.return)}, {km(route)} km
          </p>
          <DayStrip route={route} names={plan.siteNames} />
          <Wide label={`Stops of ${route.crew_id} on ${route.date}`}>
            <table>
              <thead>
                <tr>
                  <th scope="col">Arrive</th>
                  <th scope="col">Leave</th>
                  <th scope="col">Site</th>
                  <th scope="col">Urgency</th>
                  <th scope="col" className="num">
                    Drive
                  </th>
                </tr>
              </thead>
              <tbody>
                {route.stops.map((stop) => (
                  <tr key={stop.visit_id}>
                    <td>{clock(stop.arrive)}</td>
                    <td>{clock(stop.depart)}</td>
                    <th scope="row">
                      <Link href={`/visits/${encodeURIComponent(stop.visit_id)}`}>
                        {plan.siteNames[stop.site_id] ?? stop.site_id}
                      </Link>
                      {stop.pinned ? " (promised)" : ""} <Isolated since={plan.isolated[stop.site_id]} />
                    </th>
                    <td>
                      <Urgency value={plan.urgency[stop.visit_id] ?? "planned"} />
                    </td>
                    <td className="num">
                      {Math.round(stop.drive_km)} km, {Math.round(stop.drive_minutes)} min
                    </td>
                  </tr>
                ))}
              </tbody>
            </table>
          </Wide>
        </section>
      ))}
      <Unserved plan={plan} />
    </>
  );
}

function Unserved({ plan }: { plan: PlanView }) {
  if (plan.unserved.length === 0) return null;
  return (
    <section>
      <h2>Not visited ({plan.unserved.length})</h2>
      <Wide label="Visits that the plan leaves out">
        <table>
          <thead>
            <tr>
              <th scope="col">Site</th>
              <th scope="col">Urgency</th>
              <th scope="col">Why</th>
            </tr>
          </thead>
          <tbody>
            {plan.unserved.map((u) => (
              <tr key={u.visit_id}>
                <th scope="row">
                  <Link href={`/visits/${encodeURIComponent(u.visit_id)}`}>
                    {plan.siteNames[u.site_id] ?? u.site_id}
                  </Link>{" "}
                  <Isolated since={plan.isolated[u.site_id]} />
                </th>
                <td>
                  <Urgency value={plan.urgency[u.visit_id] ?? "planned"} />
                </td>
                <td>
                  {u.why} <span className="soft">{words(u.code)}</span>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}
