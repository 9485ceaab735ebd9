"use client";

import { useRef } from "react";
import type { RainStrip as Strip } from "@/lib/reads/ranked-sites-view.ts";
import { Frame } from "./chart/frame.tsx";
import { svgCanvas } from "./chart/svg-canvas.ts";
import { number, rainText } from "./format.ts";
import { RainStrip, RainStripLegend } from "./rain-strip.tsx";
import { stripDays } from "./rain-strip-paths.ts";
import { useUnits } from "./units.tsx";

const figure = (value: number | null) => (value === null ? "not known" : number(value));

/** The strip of a site by itself, with its sentence, its days as a table and both as files. */
export function RainStripChart({ strip }: { strip: Strip }) {
  const box = useRef<HTMLDivElement>(null);
  const units = useUnits();
  const days = stripDays(strip);
  return (
    <Frame
      name="twelve-months"
      title="Twelve months of rain, dew and ground faults"
      says="One day to a place from left to right: rain and dew stand above the line, ground-fault onsets hang below it. Marks below that follow the bars above are faults that follow the rain; a dotted line is weather that nobody observed."
      table={{
        head: ["Day", "Rain", "Dew, h", "Ground-fault onsets"],
        rows: days.map((d) => [
          d.day,
          d.rainMm === null ? "not known" : rainText(d.rainMm, units),
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
