"use client";

import { useQuery } from "@tanstack/react-query";
import { useCallback, useState } from "react";
import { barsOption } from "@/app/_ui/chart/bars-option.ts";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { getJson } from "@/app/_ui/get-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { FLEET_FINDINGS } from "@/app/_words/sites.ts";
import type { FleetFindingsView } from "@/lib/reads/weather-picture-view.ts";

const fetchFindings = () => getJson<FleetFindingsView>("/api/pages/fleet-findings");

/** How far the weather findings of the fleet can be trusted; read only when it is opened. */
export function FleetFindings() {
  const [isOpen, setOpen] = useState(false);
  const { data, error } = useQuery({ queryKey: ["fleet-findings"], queryFn: fetchFindings, enabled: isOpen });
  return (
    <details onToggle={(e) => setOpen(e.currentTarget.open)} data-fleet-findings={data ? "ready" : "waiting"}>
      <summary>{FLEET_FINDINGS.howManyWeatherFindings}</summary>
      <Trouble says={error?.message}> {FLEET_FINDINGS.closeAndOpenIt}</Trouble>
      {isOpen && !data && !error ? <p role="status">{FLEET_FINDINGS.reading}</p> : null}
      {data ? <Findings view={data} /> : null}
    </details>
  );
}

function Findings({ view }: { view: FleetFindingsView }) {
  const build = useCallback(
    (tokens: Tokens) =>
      barsOption(
        {
          categories: view.histogram.map((_, k) => (k / view.histogram.length).toFixed(2)),
          xName: FLEET_FINDINGS.pOfWetAgainst,
          yName: "sites",
          series: [{ name: "sites", values: view.histogram, token: "water" }],
          levelAt: view.sites / view.histogram.length,
        },
        tokens,
      ),
    [view],
  );
  if (view.sites === 0) return <p className="empty">{FLEET_FINDINGS.noSiteHasEnough}</p>;
  const nothing =
    view.noEffectShare === null ? "" : FLEET_FINDINGS.fromTheFlatPart(Math.round(view.noEffectShare * 100));
  return (
    <ChartFrame
      name="fleet-findings"
      title={FLEET_FINDINGS.sitesByPOf}
      says={FLEET_FINDINGS.sitesHadEnoughOnsets(
        view.sites,
        view.findings,
        view.level,
        view.expectedFalse.toFixed(1),
        nothing,
      )}
      build={build}
      table={{
        head: ["p from", FLEET_FINDINGS.sites],
        rows: view.histogram.map((n, k) => [(k / view.histogram.length).toFixed(2), String(n)]),
      }}
    />
  );
}
