"use client";

import { useCallback } from "react";
import { barsOption } from "@/app/_ui/chart/bars-option.ts";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { filmText, smallNumber } from "@/app/_ui/format.ts";
import { useUnits } from "@/app/_ui/units.tsx";
import { DOSE_CHART } from "@/app/_words/site-weather.ts";
import type { Units } from "@/lib/core/units.ts";
import type { DoseBin, DoseResponse } from "@/lib/correlate/dose-response.ts";

const binName = ({ fromMm, toMm }: DoseBin, k: number, units: Units) => {
  const to = toMm === null ? null : filmText(toMm, units);
  if (k === 0) return DOSE_CHART.under(to);
  return to === null ? DOSE_CHART.orMore(filmText(fromMm, units)) : `${filmText(fromMm, units).split(" ")[0]} to ${to}`;
};

/** Onsets by how deep the film of water was. */
export function DoseChart({ dose }: { dose: DoseResponse }) {
  const units = useUnits();
  const build = useCallback(
    (tokens: Tokens) =>
      barsOption(
        {
          categories: dose.bins.map((b, k) => binName(b, k, units)),
          xName: DOSE_CHART.filmOfWaterAt,
          yName: DOSE_CHART.onsetsAgainstThoseExpected,
          series: [{ name: DOSE_CHART.seenExpected, values: dose.bins.map((b) => b.ratio), token: "water" }],
          levelAt: 1,
          decimals: 2,
        },
        tokens,
      ),
    [dose, units],
  );
  const trend = dose.trend.p === null ? "" : DOSE_CHART.trendWithDepthP(smallNumber(dose.trend.p));
  return (
    <section aria-label={DOSE_CHART.onsetsByDepthOf}>
      <h3>{DOSE_CHART.onsetsByDepthOf}</h3>
      <ChartFrame
        name="dose"
        title={DOSE_CHART.onsetsByDepthOf}
        says={DOSE_CHART.onsetsInEachDepth(trend)}
        build={build}
        table={{
          head: [DOSE_CHART.film, DOSE_CHART.onsets, DOSE_CHART.expected, DOSE_CHART.unitHoursAtRisk, DOSE_CHART.perH],
          rows: dose.bins.map((b, k) => [
            binName(b, k, units),
            String(b.episodes),
            b.expected.toFixed(1),
            Math.round(b.unitHours).toLocaleString("en-US"),
            b.unitHours > 0 ? ((1000 * b.episodes) / b.unitHours).toFixed(1) : DOSE_CHART.noHours,
          ]),
          file: {
            head: ["film_from_mm", "film_to_mm", "onsets", "onsets_expected", "unit_hours_at_risk"],
            rows: dose.bins.map((b) => [b.fromMm, b.toMm, b.episodes, b.expected, b.unitHours]),
          },
        }}
      />
    </section>
  );
}
