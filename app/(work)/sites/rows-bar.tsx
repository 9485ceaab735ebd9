"use client";

import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import type { SitesAction } from "@/lib/reads/ranked-sites-query.ts";
import type { RankedSitesView, SitesActionDone } from "@/lib/reads/ranked-sites-view.ts";

const DONE: Record<SitesAction["action"], string> = {
  queue: "queued",
  hold: "held",
  release: "released",
  crew: "given to the crew",
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
    <section className="rows-bar panel no-print" aria-label="What to do with the chosen sites">
      {chosen.size > 0 ? (
        <>
          <p>
            <strong>
              {chosen.size} {chosen.size === 1 ? "site" : "sites"} chosen
            </strong>{" "}
            <button type="button" className="button" onClick={onClear}>
              Choose none
            </button>
          </p>
          <div className="filters">
            <button
              type="button"
              className="button"
              disabled={act.isPending}
              onClick={() => act.mutate({ action: "queue" })}
            >
              Queue a visit
            </button>
            <label>
              Hold until
              <input type="date" value={until} onChange={(event) => setUntil(event.target.value)} />
            </label>
            <label className="wide-field">
              Reason
              <input type="text" value={reason} maxLength={500} onChange={(event) => setReason(event.target.value)} />
            </label>
            <button
              type="button"
              className="button"
              disabled={act.isPending || until === "" || reason.trim().length < 3}
              onClick={() => act.mutate({ action: "hold" })}
            >
              Hold
            </button>
            <button
              type="button"
              className="button"
              disabled={act.isPending}
              onClick={() => act.mutate({ action: "release" })}
            >
              Release
            </button>
            {crews.length > 0 ? (
              <>
                <label>
                  Crew
                  <select value={crewId} onChange={(event) => setCrewId(event.target.value)}>
                    <option value="">choose</option>
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
                  Give to
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
