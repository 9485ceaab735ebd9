"use client";

import { useCallback, useMemo, useState } from "react";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import type { ChartTable } from "@/app/_ui/chart/frame.tsx";
import { type Storm, stepTimes, stormsOf, timelineOption, wallOf } from "@/app/_ui/chart/timeline-option.ts";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import type { ZoomRange } from "@/app/_ui/chart/use-echart.ts";
import { filmText, rainText } from "@/app/_ui/format.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { useUnits } from "@/app/_ui/units.tsx";
import { When } from "@/app/_ui/when.tsx";
import { TIMELINE_CHART } from "@/app/_words/site-weather.ts";
import type { Units } from "@/lib/core/units.ts";
import type { SiteTimeline } from "@/lib/reads/site-view.ts";

const DAY_MS = 86_400_000;
/** A daily picture zoomed to this or less is worth looking at by the hour. */
const HOURLY_DAYS = 31;
/** A storm is shown with the days before it, in which the array was dry, and those in which it dried. */
const STORM_LEAD_DAYS = 2;
const STORM_TAIL_DAYS = 3;

async function fetchSpan(siteId: string, fromWall: number, toWall: number, offset: string): Promise<SiteTimeline> {
  const iso = (wall: number) => new Date(wall).toISOString().slice(0, 19) + offset;
  const params = new URLSearchParams({ from: iso(fromWall), to: iso(toWall) });
  const reply = await fetch(`/api/pages/sites/${encodeURIComponent(siteId)}/timeline?${params}`);
  if (!reply.ok) throw new Error(TIMELINE_CHART.theTimeLineCould(reply.status));
  return (await reply.json()) as SiteTimeline;
}

/** Twelve months by the day; zooming in offers the hours of what is seen. */
export function TimelineChart({ siteId, first }: { siteId: string; first: SiteTimeline }) {
  const units = useUnits();
  const [shown, setShown] = useState(first);
  const [range, setRange] = useState<ZoomRange>({ start: 0, end: 100 });
  const [trouble, setTrouble] = useState<string | null>(null);
  const build = useCallback((tokens: Tokens) => timelineOption(shown, tokens, units), [shown, units]);
  const times = useMemo(() => stepTimes(shown), [shown]);
  const from = times[0] ?? 0;
  const span = (times.at(-1) ?? from) - from;
  const seen = { from: from + (span * range.start) / 100, to: from + (span * range.end) / 100 };
  const canRefine = shown.step === "day" && seen.to - seen.from <= HOURLY_DAYS * DAY_MS;
  const offset = first.from.slice(19);
  const last = useMemo(() => stepTimes(first).at(-1) ?? 0, [first]);
  const storms = useMemo(() => stormsOf(shown.step === "day" ? shown : first), [shown, first]);
  const load = useCallback(async (read: () => Promise<SiteTimeline>) => {
    try {
      setShown(await read());
      setRange({ start: 0, end: 100 });
      setTrouble(null);
    } catch (error) {
      setTrouble((error as Error).message);
    }
  }, []);
  const controls = (
    <>
      <p className="no-print buttons">
        <button
          type="button"
          className="button"
          onClick={() => load(() => fetchSpan(siteId, last - HOURLY_DAYS * DAY_MS + DAY_MS, last + DAY_MS, offset))}
        >
          {TIMELINE_CHART.lastMonthByThe}
        </button>
        {canRefine ? (
          <button
            type="button"
            className="button"
            onClick={() => load(() => fetchSpan(siteId, seen.from, seen.to + DAY_MS, offset))}
          >
            {TIMELINE_CHART.showTheHoursOf}
          </button>
        ) : null}
        {first.logFrom && wallOf(first.logFrom) < (stepTimes(first)[0] ?? 0) ? (
          <button
            type="button"
            className="button"
            onClick={() => load(() => fetchSpan(siteId, wallOf(first.logFrom as string), last + DAY_MS, offset))}
          >
            {TIMELINE_CHART.allYearsOfThe}
          </button>
        ) : null}
        <StormSelect
          storms={storms}
          onStorm={(storm) =>
            load(() =>
              fetchSpan(siteId, storm.from - STORM_LEAD_DAYS * DAY_MS, storm.to + STORM_TAIL_DAYS * DAY_MS, offset),
            )
          }
        />
        {shown !== first ? (
          <button type="button" className="button" onClick={() => load(async () => first)}>
            {TIMELINE_CHART.backToTwelveMonths}
          </button>
        ) : null}
      </p>
      <Trouble says={trouble}> {TIMELINE_CHART.tryAgain}</Trouble>
    </>
  );
  return (
    <>
      <ChartFrame
        name="timeline"
        title={TIMELINE_CHART.rainFilmOfWater}
        says={TIMELINE_CHART.rainTheDeepestFilm(shown.timeZone, HOURLY_DAYS)}
        build={build}
        heightPx={350}
        onZoom={setRange}
        brush
        controls={controls}
        table={timelineTable(shown, times, units)}
      />
      <FaultTable timeline={shown} />
    </>
  );
}

/** Ground faults of one wet spell, to look at by the hour. */
function StormSelect({ storms, onStorm }: { storms: Storm[]; onStorm: (storm: Storm) => void }) {
  if (storms.length === 0) return null;
  return (
    <select
      aria-label={TIMELINE_CHART.goToAStorm}
      value=""
      onChange={(event) => {
        const storm = storms[Number(event.target.value)];
        if (storm) onStorm(storm);
      }}
    >
      <option value="">{TIMELINE_CHART.goToAStorm}</option>
      {storms.map((storm, i) => (
        <option key={storm.from} value={i}>
          {new Date(storm.from).toISOString().slice(0, 10)}: {storm.faults}{" "}
          {storm.faults === 1 ? TIMELINE_CHART.fault : TIMELINE_CHART.faults}
        </option>
      ))}
    </select>
  );
}

/** Rain, film and onsets by step; a step without a figure was not observed. */
function timelineTable(timeline: SiteTimeline, times: number[], units: Units): ChartTable {
  const stepText = (wall: number) =>
    new Date(wall)
      .toISOString()
      .slice(0, timeline.step === "day" ? 10 : 16)
      .replace("T", " ");
  const onsets = new Map<string, number>();
  for (const f of timeline.faults) {
    const key = f.onset.slice(0, timeline.step === "day" ? 10 : 13).replace("T", " ");
    onsets.set(key, (onsets.get(key) ?? 0) + 1);
  }
  const rows = times.map((wall, i) => {
    const at = stepText(wall);
    const key = timeline.step === "day" ? at : at.slice(0, 13);
    return [at, timeline.rainMm[i] ?? null, timeline.filmMm[i] ?? null, onsets.get(key) ?? 0] as const;
  });
  const known = (value: number | null, text: (mm: number, units: Units) => string) =>
    value === null ? TIMELINE_CHART.notKnown : text(value, units);
  return {
    head: [
      timeline.step === "day" ? TIMELINE_CHART.day : TIMELINE_CHART.hour,
      TIMELINE_CHART.rain,
      TIMELINE_CHART.deepestFilm,
      TIMELINE_CHART.groundFaultOnsets,
    ],
    rows: rows.map(([at, rain, film, n]) => [at, known(rain, rainText), known(film, filmText), String(n)]),
    file: { head: [`${timeline.step}_site_time`, "rain_mm", "film_mm", "ground_fault_onsets"], rows },
  };
}

function FaultTable({ timeline }: { timeline: SiteTimeline }) {
  return (
    <details>
      <summary>{TIMELINE_CHART.groundFaultsAsA(timeline.faults.length)}</summary>
      <Table
        label={TIMELINE_CHART.groundFaultsAsA(timeline.faults.length)}
        phone="cards"
        columns={[
          { name: TIMELINE_CHART.onset, cell: (f) => <When at={f.onset} zone={timeline.timeZone} /> },
          {
            name: TIMELINE_CHART.end,
            cell: (f) => (f.end === null ? TIMELINE_CHART.notKnown : <When at={f.end} zone={timeline.timeZone} />),
          },
          {
            name: TIMELINE_CHART.array,
            cell: (f) => (f.wet === null ? TIMELINE_CHART.notKnown : f.wet ? TIMELINE_CHART.wet : TIMELINE_CHART.dry),
          },
          { name: TIMELINE_CHART.what, label: "", cell: (f) => f.label },
        ]}
        rows={timeline.faults}
        keyOf={(f) => `${f.onset}/${f.label}`}
      />
    </details>
  );
}
