"use client";

import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { ageText, utcTime } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { WEATHER_FEED_PANEL } from "@/app/_words/imports.ts";
import type { WeatherFeedView } from "@/lib/reads/weather-feed-view.ts";

const FEED = "/api/pages/weather-feed";
const isOpen = (run: WeatherFeedView["run"]) => run?.status === "running" || run?.status === "waiting";

async function fetchFeed(): Promise<WeatherFeedView> {
  const reply = await fetch(FEED);
  if (!reply.ok) throw new Error(WEATHER_FEED_PANEL.theStateOfThe(reply.status));
  return (await reply.json()) as WeatherFeedView;
}

/** Weather over the network: whether it is on, what the newest run did, and how old each station's hours are. */
export function WeatherFeedPanel() {
  const client = useQueryClient();
  const { data, error } = useQuery({
    queryKey: ["weather-feed"],
    queryFn: fetchFeed,
    refetchInterval: (q) => (isOpen(q.state.data?.run ?? null) ? 1000 : 30_000),
  });
  const act = useMutation({
    mutationFn: (url: string) => postJson(url, {}),
    onSettled: () => client.invalidateQueries({ queryKey: ["weather-feed"] }),
  });
  return (
    <section aria-label={WEATHER_FEED_PANEL.weatherFeed}>
      <h2>{WEATHER_FEED_PANEL.weatherFeed}</h2>
      <Trouble says={error?.message} />
      {data?.says ? <p className={data.state === "wrong" ? "note danger" : "soft"}>{data.says}</p> : null}
      {data?.state === "on" ? (
        <>
          <p>
            {WEATHER_FEED_PANEL.hourlyObservationsAndForecasts} {data.service}
            {WEATHER_FEED_PANEL.everyHourAnHour}
          </p>
          <p>
            <RunLine run={data.run} now={data.now} />{" "}
            {isOpen(data.run) ? (
              <button
                type="button"
                className="button"
                disabled={act.isPending}
                onClick={() => act.mutate(`${FEED}/stop`)}
              >
                {WEATHER_FEED_PANEL.stop}
              </button>
            ) : (
              <button type="button" className="button" disabled={act.isPending} onClick={() => act.mutate(FEED)}>
                {WEATHER_FEED_PANEL.fetchNow}
              </button>
            )}
          </p>
          <Trouble says={act.error?.message} />
        </>
      ) : null}
      {data && data.stations.length > 0 ? <StationTable view={data} /> : null}
    </section>
  );
}

function RunLine({ run, now }: { run: WeatherFeedView["run"]; now: string }) {
  if (!run) return <span>{WEATHER_FEED_PANEL.nothingWasFetchedYet}</span>;
  if (isOpen(run)) {
    return (
      <span role="status">
        {WEATHER_FEED_PANEL.fetchingOfStations(run.stationsDone, run.stationsTotal)}{" "}
        <progress
          value={run.stationsDone}
          max={Math.max(1, run.stationsTotal)}
          aria-label={WEATHER_FEED_PANEL.progressOfTheWeather}
        />
      </span>
    );
  }
  return (
    <span>
      {WEATHER_FEED_PANEL.lastRunAskedFor(
        ageText(run.requestedAt, now),
        run.requestedBy,
        run.status,
        run.requests,
        run.hoursChanged.toLocaleString("en-US"),
      )}{" "}
      {run.says}
      {run.quietUntil && run.quietUntil > now ? WEATHER_FEED_PANEL.theServiceAskedFor(utcTime(run.quietUntil)) : ""}
    </span>
  );
}

function StationTable({ view }: { view: WeatherFeedView }) {
  return (
    <Table
      label={WEATHER_FEED_PANEL.stationsOfTheWeather}
      rows={view.stations}
      keyOf={(s) => s.stationId}
      columns={[
        { name: WEATHER_FEED_PANEL.station, head: true, cell: (s) => `${s.stationId}${s.name ? ` ${s.name}` : ""}` },
        {
          name: WEATHER_FEED_PANEL.newestHour,
          cell: (s) =>
            s.lastHour ? WEATHER_FEED_PANEL.observed(ageText(s.lastHour, view.now)) : WEATHER_FEED_PANEL.noneYet,
        },
        {
          name: WEATHER_FEED_PANEL.asked,
          cell: (s) => (s.askedAt ? ageText(s.askedAt, view.now) : WEATHER_FEED_PANEL.notYet),
        },
        { name: WEATHER_FEED_PANEL.state, cell: (s) => s.error ?? WEATHER_FEED_PANEL.answers },
      ]}
    />
  );
}
