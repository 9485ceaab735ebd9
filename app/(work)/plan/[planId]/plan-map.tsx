import { PLAN_MAP } from "@/app/_words/plan.ts";
import type { PlanBoardView } from "@/lib/reads/plan-board-view.ts";

const SHAPES = {
  make_safe: "M0,-7L7,0L0,7L-7,0Z",
  urgent: "M0,-6L6,5H-6Z",
  planned: "M-4.5,-4.5H4.5V4.5H-4.5Z",
} as const;
/** Crews are told apart by dashes and their letter, for colour is spent on urgency. */
const DASHES = ["none", "7 4", "2 3", "10 3 2 3", "4 6", "1 5"];

/** Sites, bases and the day's routes on state and county lines. The lists say the same. */
export function PlanMap({
  map,
  day,
  selected,
}: {
  map: PlanBoardView["map"];
  day: string | null;
  selected: string | null;
}) {
  const crews = map.bases.map((base) => base.crewId);
  const routes = map.routes.filter((route) => day === null || route.day === day);
  const dash = (crewId: string) => DASHES[crews.indexOf(crewId) % DASHES.length];
  return (
    <figure className="plan-map">
      <svg viewBox={`0 0 ${map.width} ${map.height}`} role="img" aria-label={PLAN_MAP.mapOfTheSites}>
        <path className="net" d={map.graticule} />
        <path className="county" d={map.counties} />
        <path className="state" d={map.states} />
        {routes.map((route) => (
          <path
            key={`${route.crewId} ${route.day}`}
            className="route"
            d={route.path}
            strokeDasharray={dash(route.crewId)}
          />
        ))}
        {map.sites.map((site) => (
          <g key={site.visitId} transform={`translate(${site.x},${site.y})`} className={`site ${site.urgency}`}>
            <title>{site.siteName}</title>
            {site.visitId === selected ? <circle className="chosen" r="13" /> : null}
            <path d={SHAPES[site.urgency]} />
          </g>
        ))}
        {map.bases.map((base) => (
          <g key={base.crewId} transform={`translate(${base.x},${base.y})`} className="base">
            <circle r="9" />
            <text textAnchor="middle" dy="4">
              {base.crewName
                .replace(/^crew\s+/i, "")
                .slice(0, 1)
                .toUpperCase()}
            </text>
          </g>
        ))}
      </svg>
      <figcaption className="legend">
        <span>{PLAN_MAP.makeSafe}</span>
        <span>{PLAN_MAP.urgent}</span>
        <span>{PLAN_MAP.planned}</span>
        {map.bases.map((base) => (
          <span key={base.crewId}>
            <svg width="30" height="8" aria-hidden="true">
              <line x1="0" x2="30" y1="4" y2="4" className="route" strokeDasharray={dash(base.crewId)} />
            </svg>{" "}
            {base.crewName}
          </span>
        ))}
        <span>{PLAN_MAP.roadsAreDrawnStraight}</span>
      </figcaption>
    </figure>
  );
}
