import { leftAt, wideBy } from "@/app/_ui/placed.ts";
import type { PlanView } from "@/lib/reads/plan-view.ts";

type Route = PlanView["routes"][number];

const HOURS = [6, 9, 12, 15, 18, 21];
const FIRST = 5;
const LAST = 22;

/** Hours after midnight of the crew's own clock. */
const hourOf = (time: string) => Number(time.slice(11, 13)) + Number(time.slice(14, 16)) / 60;
const place = (hour: number) => (100 * (Math.min(LAST, Math.max(FIRST, hour)) - FIRST)) / (LAST - FIRST);

/** A crew's day along the clock: work as blocks, driving as a line. The table below it says the same. */
export function DayStrip({ route, names }: { route: Route; names: Record<string, string> }) {
  const legs: { from: number; to: number }[] = [];
  let left = route.leave;
  for (const stop of route.stops) {
    legs.push({ from: hourOf(left), to: hourOf(stop.arrive) });
    left = stop.depart;
  }
  legs.push({ from: hourOf(left), to: hourOf(route.return) });
  return (
    <div className="day-strip" aria-hidden="true">
      {HOURS.map((hour) => (
        <span key={hour} className={`hour ${leftAt(place(hour))}`}>
          {hour}
        </span>
      ))}
      {legs.map(({ from, to }) => (
        <span key={`${from} ${to}`} className={`drive ${leftAt(place(from))} ${wideBy(place(to) - place(from))}`} />
      ))}
      {route.stops.map((stop) => (
        <span
          key={stop.visit_id}
          className={`stop ${leftAt(place(hourOf(stop.start)))} ${wideBy(place(hourOf(stop.depart)) - place(hourOf(stop.start)))}`}
        >
          {names[stop.site_id] ?? stop.site_id}
        </span>
      ))}
    </div>
  );
}
