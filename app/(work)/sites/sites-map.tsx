"use client";

import { keepPreviousData, useQuery } from "@tanstack/react-query";
import { memo, type PointerEvent, useCallback, useRef, useState } from "react";
import { getJson } from "@/app/_ui/get-json.ts";
import { URGENCY_WORDS } from "@/app/_ui/urgency.tsx";
import { SITES_MAP } from "@/app/_words/sites.ts";
import type { RankedSitesQuery } from "@/lib/reads/ranked-sites-query.ts";
import type { SitesMap as Drawing } from "@/lib/reads/ranked-sites-view.ts";
import "../plan/plan.css";
import { sitesSearch } from "./sites-query.ts";

const SHAPES = {
  make_safe: "M0,-7L7,0L0,7L-7,0Z",
  urgent: "M0,-6L6,5H-6Z",
  planned: "M-4.5,-4.5H4.5V4.5H-4.5Z",
  watch: "M-3,0A3,3 0 1 0 3,0A3,3 0 1 0 -3,0Z",
} as const;
/** A drag shorter than this is a press, units of the drawing. */
const LEAST_DRAG = 8;

interface Point {
  x: number;
  y: number;
}
interface Props {
  query: RankedSitesQuery;
  go: (next: Partial<RankedSitesQuery>) => void;
  /** The row that is open in the list. */
  opened: string | null;
  onOpen: (siteId: string) => void;
}

/** Degrees of a point of the drawing, by the inverse of Mercator's projection. */
function degrees({ projection: { center, scale, x, y } }: Drawing, at: Point): { lon: number; lat: number } {
  const lat = 2 * Math.atan(Math.exp((y - at.y) / scale)) - Math.PI / 2;
  return { lon: center + (((at.x - x) / scale) * 180) / Math.PI, lat: (lat * 180) / Math.PI };
}

/** West, south, east, north of a rectangle of the drawing, to a hundredth of a degree outwards. */
export function boxText(map: Drawing, a: Point, b: Point): string {
  const nw = degrees(map, { x: Math.min(a.x, b.x), y: Math.min(a.y, b.y) });
  const se = degrees(map, { x: Math.max(a.x, b.x), y: Math.max(a.y, b.y) });
  const out = (n: number, up: boolean) => ((up ? Math.ceil : Math.floor)(n * 100) / 100).toFixed(2);
  return [out(nw.lon, false), out(se.lat, false), out(se.lon, true), out(nw.lat, true)].join(",");
}

interface MarksProps {
  map: Drawing;
  opened: string | null;
  onOpen: (siteId: string) => void;
  onNarrow: (box: string) => void;
}

/** Drawn once, however the pointer moves over them. A mark of several sites is larger, its area by the logarithm of their number. */
const Marks = memo(({ map, opened, onOpen, onNarrow }: MarksProps) =>
  map.marks.map((mark) => {
    const isOne = "siteId" in mark;
    const size = isOne ? "" : ` scale(${(1 + Math.log10(mark.n) / 2).toFixed(2)})`;
    return (
      // biome-ignore lint/a11y/noStaticElementInteractions: a short cut for the pointer; the list opens the same row by keyboard
      <g
        key={isOne ? mark.siteId : `${mark.urgency} ${mark.x} ${mark.y}`}
        transform={`translate(${mark.x},${mark.y})${size}`}
        className={`site ${mark.urgency}`}
        onClick={() => (isOne ? onOpen(mark.siteId) : onNarrow(mark.box))}
      >
        <title>{isOne ? mark.name : SITES_MAP.sitesHere(mark.n, URGENCY_WORDS[mark.urgency])}</title>
        {isOne && mark.siteId === opened ? <circle className="chosen" r="13" /> : null}
        <path d={SHAPES[mark.urgency]} />
      </g>
    );
  }),
);

/**
 * The sites of the list on state and county lines. A rectangle narrows the list, dragged or by pressing two of its corners
 * (WCAG 2.2, 2.5.7); the list says the same.
 */
export function SitesMap({ query, go, opened, onOpen }: Props) {
  const svg = useRef<SVGSVGElement>(null);
  const [drag, setDrag] = useState<{ from: Point; to: Point } | null>(null);
  const [corner, setCorner] = useState<Point | null>(null);
  const search = sitesSearch({ ...query, page: 1, sort: "rank", order: "" });
  const { data: map } = useQuery({
    queryKey: ["sites-map", search],
    queryFn: async () => (await getJson<{ map: Drawing | null }>(`/api/pages/sites/map${search}`)).map,
    placeholderData: keepPreviousData,
    staleTime: 60_000,
  });
  const onNarrow = useCallback((box: string) => go({ box }), [go]);
  if (!map) return null;
  const pointOf = (event: PointerEvent): Point => {
    const box = svg.current?.getBoundingClientRect();
    if (!box) return { x: 0, y: 0 };
    return {
      x: ((event.clientX - box.left) / box.width) * map.width,
      y: ((event.clientY - box.top) / box.height) * map.height,
    };
  };
  const far = (a: Point, b: Point) => Math.hypot(b.x - a.x, b.y - a.y) > LEAST_DRAG;
  const narrow = (a: Point, b: Point) => {
    setCorner(null);
    if (far(a, b)) go({ box: boxText(map, a, b) });
  };
  const end = (event: PointerEvent) => {
    const at = pointOf(event);
    if (drag && far(drag.from, drag.to)) narrow(drag.from, drag.to);
    else if (!(event.target as Element).closest(".site")) {
      if (corner) narrow(corner, at);
      else setCorner(at);
    }
    setDrag(null);
  };
  return (
    <figure className="plan-map sites-map">
      <svg
        ref={svg}
        viewBox={`0 0 ${map.width} ${map.height}`}
        role="img"
        aria-label={SITES_MAP.mapOfSitesOf(map.total)}
        onPointerDown={(event) => {
          if (event.pointerType !== "mouse") return;
          const at = pointOf(event);
          setDrag({ from: at, to: at });
        }}
        onPointerMove={(event) => drag && setDrag({ ...drag, to: pointOf(event) })}
        onPointerUp={end}
        onPointerLeave={() => setDrag(null)}
      >
        <path className="net" d={map.graticule} />
        <path className="county" d={map.counties} />
        <path className="state" d={map.states} />
        <Marks map={map} opened={opened} onOpen={onOpen} onNarrow={onNarrow} />
        {corner && !drag ? <circle className="dragged" cx={corner.x} cy={corner.y} r="6" /> : null}
        {drag ? (
          <rect
            className="dragged"
            x={Math.min(drag.from.x, drag.to.x)}
            y={Math.min(drag.from.y, drag.to.y)}
            width={Math.abs(drag.to.x - drag.from.x)}
            height={Math.abs(drag.to.y - drag.from.y)}
          />
        ) : null}
      </svg>
      <figcaption className="legend">
        <span>{SITES_MAP.makeSafe}</span>
        <span>{SITES_MAP.urgent}</span>
        <span>{SITES_MAP.planned}</span>
        <span>{SITES_MAP.onWatch}</span>
        {map.marks.some((mark) => "n" in mark) ? <span>{SITES_MAP.largerMarks}</span> : null}
        {query.box ? (
          <button type="button" className="button" onClick={() => go({ box: "" })}>
            {SITES_MAP.wholeMapAgain}
          </button>
        ) : (
          <span role="status">{corner ? SITES_MAP.otherCorner : SITES_MAP.dragARectangleTo}</span>
        )}
      </figcaption>
    </figure>
  );
}
