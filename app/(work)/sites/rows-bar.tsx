"use client";

import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { ROWS_BAR } from "@/app/_words/sites.ts";
import type { SitesAction } from "@/lib/reads/ranked-sites-query.ts";
import type { RankedSitesView, SitesActionDone } from "@/lib/reads/ranked-sites-view.ts";

const DONE: Record<SitesAction["action"], string> = {
  queue: "queued",
  hold: "held",
  release: "released",
  crew: ROWS_BAR.givenToTheCrew,
};

interface Props {
  chosen: ReadonlySet<string>;
  crews: RankedSitesView["crews"];
  onClear: () => void;
}

/** What can be done with the sites that are chosen. */
export function RowsBar({ chosen, crews, onClear }: Props) {
  const client = useQueryClient();
  const [until, setUntil] = useState("");
  const [reason, setReason] = useState("");
  const [crewId, setCrewId] = useState("");
  const act = useMutation({
    mutationFn: async (what: Pick<SitesAction, "action">) => {
      const body = { ...what, siteIds: [...chosen], until: until || null, reason, crewId: crewId || null };
      return { ...(await postJson<SitesActionDone>("/api/pages/sites/actions", body)), ...what };
    },
    onSuccess: async () => {
      onClear();
      await client.invalidateQueries({ queryKey: ["sites"] });
    },
  });
  const said = act.data;
  return (
    <section className="rows-bar panel no-print" aria-label={ROWS_BAR.whatToDoWith}>
      {chosen.size > 0 ? (
        <>
          <p>
            <strong>{ROWS_BAR.chosen(chosen.size, chosen.size === 1 ? ROWS_BAR.site : ROWS_BAR.sites)}</strong>{" "}
            <button type="button" className="button" onClick={onClear}>
              {ROWS_BAR.chooseNone}
            </button>
          </p>
          <div className="filters">
            <button
              type="button"
              className="button"
              disabled={act.isPending}
              onClick={() => act.mutate({ action: "queue" })}
            >
              {ROWS_BAR.queueAVisit}
            </button>
            <label>
              {ROWS_BAR.holdUntil}
              <input type="date" value={until} onChange={(event) => setUntil(event.target.value)} />
            </label>
            <label className="wide-field">
              {ROWS_BAR.reason}
              <input type="text" value={reason} maxLength={500} onChange={(event) => setReason(event.target.value)} />
            </label>
            <button
              type="button"
              className="button"
              disabled={act.isPending || until === "" || reason.trim().length < 3}
              onClick={() => act.mutate({ action: "hold" })}
            >
              {ROWS_BAR.hold}
            </button>
            <button
              type="button"
              className="button"
              disabled={act.isPending}
              onClick={() => act.mutate({ action: "release" })}
            >
              {ROWS_BAR.release}
            </button>
            {crews.length > 0 ? (
              <>
                <label>
                  {ROWS_BAR.crew}
                  <select value={crewId} onChange={(event) => setCrewId(event.target.value)}>
                    <option value="">{ROWS_BAR.choose}</option>
                    {crews.map((crew) => (
                      <option key={crew.crewId} value={crew.crewId}>
                        {crew.name}
                      </option>
                    ))}
                  </select>
                </label>
                <button
                  type="button"
                  className="button"
                  disabled={act.isPending || crewId === ""}
                  onClick={() => act.mutate({ action: "crew" })}
                >
                  {ROWS_BAR.giveTo}
                </button>
              </>
            ) : null}
          </div>
        </>
      ) : null}
      <p role="status">
        {said ? `${said.done} ${said.done === 1 ? "site" : "sites"} ${DONE[said.action]}.` : ""}{" "}
        {said?.skipped.map((s) => `${s.siteId}: ${s.why}.`).join(" ")}
      </p>
      <Trouble says={act.error?.message} />
    </section>
  );
}
