"use client";

import { useMutation } from "@tanstack/react-query";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { When } from "@/app/_ui/when.tsx";
import type { GoingOutView } from "@/lib/reads/going-out-view.ts";

const CALENDARS = "/api/pages/calendars";

/** A secret link to each crew's calendar. The link is shown once; ended, it answers nothing. */
export function Calendars({ view, onChanged }: { view: GoingOutView; onChanged: () => void }) {
  const [crewId, setCrewId] = useState(view.crews[0]?.crewId ?? "");
  const make = useMutation({
    mutationFn: () => postJson<{ path: string }>(CALENDARS, { crewId }),
    onSuccess: onChanged,
  });
  const end = useMutation({
    mutationFn: (feedId: string) => postJson(`${CALENDARS}/end`, { feedId }),
    onSuccess: onChanged,
  });
  const error = make.error ?? end.error;
  if (view.crews.length === 0) return null;
  return (
    <section>
      <h2>Calendars of the crews</h2>
      <p className="soft">
        Whoever has the link reads the crew’s confirmed days in a calendar program: sites, times and places, no
        customer’s name and no way in.
      </p>
      <div className="filters">
        <label>
          Crew
          <select value={crewId} onChange={(event) => setCrewId(event.target.value)}>
            {view.crews.map((crew) => (
              <option key={crew.crewId} value={crew.crewId}>
                {crew.name}
              </option>
            ))}
          </select>
        </label>
        <button type="button" className="button" disabled={make.isPending} onClick={() => make.mutate()}>
          Make a calendar link
        </button>
      </div>
      {make.data ? (
        <p className="note" role="status">
          Shown this once:{" "}
          <code className="calendar-link">
            {window.location.origin}
            {make.data.path}
          </code>
        </p>
      ) : null}
      <Trouble says={error?.message} />
      <ul>
        {view.feeds.map((feed) => (
          <li key={feed.feedId}>
            {feed.crewName}, made <When at={feed.madeAt} /> by {feed.madeBy}{" "}
            <button type="button" className="button" disabled={end.isPending} onClick={() => end.mutate(feed.feedId)}>
              End this link <span className="visually-hidden">of {feed.crewName}</span>
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
