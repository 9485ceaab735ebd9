"use client";

import { useQuery } from "@tanstack/react-query";
import { PhoneFold } from "@/app/_ui/phone-fold.tsx";
import { Trouble, Waiting } from "@/app/_ui/said.tsx";
import { WEATHER_PICTURE } from "@/app/_words/site-weather.ts";
import type { WeatherPictureView } from "@/lib/reads/weather-picture-view.ts";
import { ClockPanel } from "./clock-panel.tsx";
import { DoseChart } from "./dose-chart.tsx";
import { DriversTable } from "./drivers-table.tsx";
import { LagChart } from "./lag-chart.tsx";
import { RateTable } from "./rate-table.tsx";

async function fetchPicture(siteId: string): Promise<WeatherPictureView> {
  const reply = await fetch(`/api/pages/sites/${encodeURIComponent(siteId)}/weather-picture`);
  if (!reply.ok) throw new Error(WEATHER_PICTURE.theWeatherOfThe(reply.status));
  return (await reply.json()) as WeatherPictureView;
}

/** How the faults go with the weather, in detail: asked for after the page is there, because the shifts take a while. */
export function WeatherPicture({ siteId }: { siteId: string }) {
  const { data, error, refetch } = useQuery({
    queryKey: ["weather-picture", siteId],
    queryFn: () => fetchPicture(siteId),
  });
  return (
    <section aria-label={WEATHER_PICTURE.howTheFaultsGo} data-weather-picture={data ? "ready" : "waiting"}>
      <PhoneFold title={WEATHER_PICTURE.howTheFaultsGo}>
        <Trouble says={error?.message}> {WEATHER_PICTURE.loadThePageAgain}</Trouble>
        {!data && !error ? <Waiting label={WEATHER_PICTURE.settingTheFaultsAgainst} /> : null}
        {data ? <Pictures view={data} onDecided={() => refetch()} /> : null}
      </PhoneFold>
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
        <p className="empty">{WEATHER_PICTURE.noGroundFaultLies}</p>
      )}
      <h2>{WEATHER_PICTURE.clockOfTheLog}</h2>
      {view.clocks.length === 0 ? <p className="soft">{WEATHER_PICTURE.noGroundFaultTo}</p> : null}
      {view.clocks.map((clock) => (
        <ClockPanel key={clock.source} clock={clock} onDecided={onDecided} />
      ))}
    </>
  );
}
