"use client";

import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { IfMay } from "@/app/_ui/role.tsx";
import { Trouble } from "@/app/_ui/said.tsx";
import { DEMO_PANEL } from "@/app/_words/begin.ts";
import { useFirstRun } from "./use-first-run.ts";

/** The invented demo fleet: loaded into an empty installation, and removed again with everything entered on it. */
export function DemoPanel() {
  const client = useQueryClient();
  const { data } = useFirstRun();
  const [sure, setSure] = useState(false);
  const load = useMutation({
    mutationFn: () => postJson("/api/pages/demo", {}),
    onSuccess: () => client.invalidateQueries({ queryKey: ["first-run"] }),
  });
  const remove = useMutation({
    mutationFn: () =>
      postJson<{ sites: number; setUp: string | null }>("/api/pages/demo/remove", { confirm: "remove" }),
    onSuccess: async ({ setUp }) => {
      // Its people are gone with it: whoever goes on sets the installation up under a name of their own.
      if (setUp) window.location.assign(setUp);
      else await client.invalidateQueries();
    },
  });
  const trouble = load.error ?? remove.error;
  if (data?.demo.unmarked)
    return (
      <IfMay operation="demo.manage">
        <section className="panel" aria-label={DEMO_PANEL.demo}>
          <h2 className="first">{DEMO_PANEL.demoFleet}</h2>
          <p>
            {DEMO_PANEL.theDemoHereCame} <code>{DEMO_PANEL.npmRunRaintripDemo}</code> {DEMO_PANEL.onTheMachineThen}
          </p>
        </section>
      </IfMay>
    );
  if (!data || (data.sites > 0 && data.demo.sites === 0 && data.demo.loading === null)) return null;
  return (
    <IfMay operation="demo.manage">
      <section className="panel" aria-label={DEMO_PANEL.demo}>
        <h2 className="first">{DEMO_PANEL.demoFleet}</h2>
        {data.demo.loading !== null || (load.isSuccess && data.sites === 0) ? (
          <p role="status">
            {DEMO_PANEL.beingLoaded}{" "}
            <progress value={data.demo.loading ?? 0} max={1} aria-label={DEMO_PANEL.progressOfTheDemo} />
          </p>
        ) : data.demo.sites > 0 ? (
          <>
            <p>{DEMO_PANEL.inventedSitesAreHere(data.demo.sites)}</p>
            <label className="tick">
              <input type="checkbox" checked={sure} onChange={(event) => setSure(event.target.checked)} />
              {DEMO_PANEL.removeItForGood}
            </label>
            <p>
              <button
                type="button"
                className="button"
                disabled={!sure || remove.isPending}
                onClick={() => remove.mutate()}
              >
                {remove.isPending ? DEMO_PANEL.removing : DEMO_PANEL.removeTheDemo}
              </button>
            </p>
          </>
        ) : (
          <>
            <p>{DEMO_PANEL.anInventedFleetWith}</p>
            <p>
              <button type="button" className="button" disabled={load.isPending} onClick={() => load.mutate()}>
                {DEMO_PANEL.loadTheDemo}
              </button>
            </p>
          </>
        )}
        {remove.data && !remove.data.setUp ? <p role="status">{DEMO_PANEL.sitesOfTheDemo(remove.data.sites)}</p> : null}
        <Trouble says={trouble?.message} />
      </section>
    </IfMay>
  );
}
