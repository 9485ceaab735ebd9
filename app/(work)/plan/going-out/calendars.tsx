"use client";

import { useMutation } from "@tanstack/react-query";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { When } from "@/app/_ui/when.tsx";
import { CALENDARS_WORDS } from "@/app/_words/plan.ts";
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
      <h2>{CALENDARS_WORDS.calendarsOfTheCrews}</h2>
      <p className="soft">{CALENDARS_WORDS.whoeverHasTheLink}</p>
      <div className="filters">
        <label>
          {CALENDARS_WORDS.crew}
          <select value={crewId} onChange={(event) => setCrewId(event.target.value)}>
            {view.crews.map((crew) => (
              <option key={crew.crewId} value={crew.crewId}>
                {crew.name}
              </option>
            ))}
          </select>
        </label>
        <button type="button" className="button" disabled={make.isPending} onClick={() => make.mutate()}>
          {CALENDARS_WORDS.makeACalendarLink}
        </button>
      </div>
      {make.data ? (
        <p className="note" role="status">
          {CALENDARS_WORDS.shownThisOnce}{" "}
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
            {CALENDARS_WORDS.made(feed.crewName)} <When at={feed.madeAt} /> {CALENDARS_WORDS.by(feed.madeBy)}{" "}
            <button type="button" className="button" disabled={end.isPending} onClick={() => end.mutate(feed.feedId)}>
              {CALENDARS_WORDS.endThisLink} <span className="visually-hidden">{CALENDARS_WORDS.of(feed.crewName)}</span>
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
