"use client";

import { useQuery } from "@tanstack/react-query";
import { Trouble, Waiting } from "@/app/_ui/said.tsx";
import type { WeatherPictureView } from "@/lib/reads/weather-picture-view.ts";
import { ClockPanel } from "./clock-panel.tsx";
import { DoseChart } from "./dose-chart.tsx";
import { DriversTable } from "./drivers-table.tsx";
import { LagChart } from "./lag-chart.tsx";
import { RateTable } from "./rate-table.tsx";

async function fetchPicture(siteId: string): Promise<WeatherPictureView> {
  const reply = await fetch(`/api/pages/sites/${encodeURIComponent(siteId)}/weather-picture`);
  if (!reply.ok) throw new Error(`The weather of the faults could not be worked out (${reply.status}).`);
  return (await reply.json()) as WeatherPictureView;
}

/** How the faults go with the weather, in detail: asked for after the page is there, because the shifts take a while. */
export function WeatherPicture({ siteId }: { siteId: string }) {
  const { data, error, refetch } = useQuery({
    queryKey: ["weather-picture", siteId],
    queryFn: () => fetchPicture(siteId),
  });
  return (
    <section aria-label="How the faults go with the weather" data-weather-picture={data ? "ready" : "waiting"}>
      <h2>How the faults go with the weather</h2>
      <Trouble says={error?.message}> Load the page again.</Trouble>
      {!data && !error ? <Waiting label="Setting the faults against the weather" /> : null}
      {data ? <Pictures view={data} onDecided={() => refetch()} /> : null}
    </section>
  );
}

function Pictures({ view, onDecided }: { view: WeatherPictureView; onDecided: () => void }) {
  return (
    <>
      {view.lag && view.dose && view.drivers ? (
        <>
          <div className="pair">
            <LagChart lag={view.lag} />
            <DoseChart dose={view.dose} />
          </div>
          <div className="pair">
            <DriversTable drivers={view.drivers} />
            <RateTable view={view} />
          </div>
        </>
      ) : (
        <p className="empty">
          No ground fault lies in an hour at risk with known weather, so there is nothing to set against it. That is a
          gap, not an all-clear.
        </p>
      )}
      <h2>Clock of the log</h2>
      {view.clocks.length === 0 ? <p className="soft">No ground fault to check a clock by.</p> : null}
      {view.clocks.map((clock) => (
        <ClockPanel key={clock.source} clock={clock} onDecided={onDecided} />
      ))}
    </>
  );
}
