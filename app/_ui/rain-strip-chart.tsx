"use client";

import { useRef } from "react";
import { RAIN_STRIP_CHART } from "@/app/_words/ui.ts";
import type { RainStrip as Strip } from "@/lib/reads/ranked-sites-view.ts";
import { Frame } from "./chart/frame.tsx";
import { svgCanvas } from "./chart/svg-canvas.ts";
import { number, rainText } from "./format.ts";
import { RainStrip, RainStripLegend } from "./rain-strip.tsx";
import { stripDays } from "./rain-strip-paths.ts";
import { useUnits } from "./units.tsx";

const figure = (value: number | null) => (value === null ? RAIN_STRIP_CHART.notKnown : number(value));

/** The strip of a site by itself, with its sentence, its days as a table and both as files. */
export function RainStripChart({ strip }: { strip: Strip }) {
  const box = useRef<HTMLDivElement>(null);
  const units = useUnits();
  const days = stripDays(strip);
  return (
    <Frame
      name="twelve-months"
      title={RAIN_STRIP_CHART.twelveMonthsOfRain}
      says={RAIN_STRIP_CHART.oneDayToA}
      table={{
        head: [RAIN_STRIP_CHART.day, RAIN_STRIP_CHART.rain, RAIN_STRIP_CHART.dewH, RAIN_STRIP_CHART.groundFaultOnsets],
        rows: days.map((d) => [
          d.day,
          d.rainMm === null ? RAIN_STRIP_CHART.notKnown : rainText(d.rainMm, units),
          figure(d.dewHours),
          String(d.onsets),
        ]),
        file: {
          head: ["day", "rain_mm", "dew_hours", "ground_fault_onsets"],
          rows: days.map((d) => [d.day, d.rainMm, d.dewHours, d.onsets]),
        },
      }}
      toCanvas={() => {
        const svg = box.current?.querySelector("svg");
        return svg ? svgCanvas(svg) : null;
      }}
    >
      <div ref={box}>
        <RainStrip strip={strip} />
      </div>
      <RainStripLegend />
    </Frame>
  );
}
