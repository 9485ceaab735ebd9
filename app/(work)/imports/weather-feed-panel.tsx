"use client";

import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { ageText, utcTime } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import type { WeatherFeedView } from "@/lib/reads/weather-feed-view.ts";

const FEED = "/api/pages/weather-feed";
const isOpen = (run: WeatherFeedView["run"]) => run?.status === "running" || run?.status === "waiting";

async function fetchFeed(): Promise<WeatherFeedView> {
  const reply = await fetch(FEED);
  if (!reply.ok) throw new Error(`The state of the weather feed could not be read (${reply.status}).`);
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
    <section aria-label="Weather feed">
      <h2>Weather feed</h2>
      <Trouble says={error?.message} />
      {data?.says ? <p className={data.state === "wrong" ? "note danger" : "soft"}>{data.says}</p> : null}
      {data?.state === "on" ? (
        <>
          <p>
            Hourly observations and forecasts are asked for at {data.service}, every hour. An hour that the service does
            not report stays unknown.
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
                Stop
              </button>
            ) : (
              <button type="button" className="button" disabled={act.isPending} onClick={() => act.mutate(FEED)}>
                Fetch now
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
  if (!run) return <span>Nothing was fetched yet.</span>;
  if (isOpen(run)) {
    return (
      <span role="status">
        Fetching: {run.stationsDone} of {run.stationsTotal} stations{" "}
        <progress
          value={run.stationsDone}
          max={Math.max(1, run.stationsTotal)}
          aria-label="Progress of the weather feed"
        />
      </span>
    );
  }
  return (
    <span>
      Last run {ageText(run.requestedAt, now)}, asked for by {run.requestedBy}: {run.status}, {run.requests} requests,{" "}
      {run.hoursChanged.toLocaleString("en-US")} hours new or changed. {run.says}
      {run.quietUntil && run.quietUntil > now ? ` The service asked for quiet until ${utcTime(run.quietUntil)}.` : ""}
    </span>
  );
}

function StationTable({ view }: { view: WeatherFeedView }) {
  return (
    <Table
      label="Stations of the weather feed"
      rows={view.stations}
      keyOf={(s) => s.stationId}
      columns={[
        { name: "Station", head: true, cell: (s) => `${s.stationId}${s.name ? ` ${s.name}` : ""}` },
        { name: "Newest hour", cell: (s) => (s.lastHour ? `observed ${ageText(s.lastHour, view.now)}` : "none yet") },
        { name: "Asked", cell: (s) => (s.askedAt ? ageText(s.askedAt, view.now) : "not yet") },
        { name: "State", cell: (s) => s.error ?? "answers" },
      ]}
    />
  );
}
