"use client";

import { useQuery } from "@tanstack/react-query";
import { useCallback, useState } from "react";
import { barsOption } from "@/app/_ui/chart/bars-option.ts";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import type { FleetFindingsView } from "@/lib/reads/weather-picture-view.ts";

async function fetchFindings(): Promise<FleetFindingsView> {
  const reply = await fetch("/api/pages/fleet-findings");
  if (!reply.ok) throw new Error(`The findings of the fleet could not be read (${reply.status}).`);
  return (await reply.json()) as FleetFindingsView;
}

/** How far the weather findings of the fleet can be trusted; read only when it is opened. */
export function FleetFindings() {
  const [isOpen, setOpen] = useState(false);
  const { data, error } = useQuery({ queryKey: ["fleet-findings"], queryFn: fetchFindings, enabled: isOpen });
  return (
    <details onToggle={(e) => setOpen(e.currentTarget.open)} data-fleet-findings={data ? "ready" : "waiting"}>
      <summary>How many weather findings are expected to be false</summary>
      <Trouble says={error?.message}> Close and open it to try again.</Trouble>
      {isOpen && !data && !error ? <p role="status">Reading …</p> : null}
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
          xName: "p of wet against dry, from",
          yName: "sites",
          series: [{ name: "sites", values: view.histogram, token: "water" }],
          levelAt: view.sites / view.histogram.length,
        },
        tokens,
      ),
    [view],
  );
  if (view.sites === 0) return <p className="empty">No site has enough onsets in known weather to be looked at.</p>;
  const nothing =
    view.noEffectShare === null
      ? ""
      : ` From the flat part of the picture, about ${Math.round(view.noEffectShare * 100)} % of the sites are not moved by water.`;
  return (
    <ChartFrame
      name="fleet-findings"
      title="Sites by p of wet against dry"
      says={`${view.sites} sites had enough onsets to be looked at; ${view.findings} follow the wet at q ≤ ${view.level}, and at most about ${view.expectedFalse.toFixed(1)} of these are expected to be false.${nothing} A tall first bar over a flat rest is a real effect at some sites; if weather did nothing anywhere, all bars would lie about the dashed line.`}
      build={build}
      table={{
        head: ["p from", "Sites"],
        rows: view.histogram.map((n, k) => [(k / view.histogram.length).toFixed(2), String(n)]),
      }}
    />
  );
}
