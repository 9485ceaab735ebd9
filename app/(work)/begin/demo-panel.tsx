"use client";

import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { IfMay } from "@/app/_ui/role.tsx";
import { Trouble } from "@/app/_ui/said.tsx";
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
        <section className="panel" aria-label="Demo">
          <h2 className="first">Demo fleet</h2>
          <p>
            The demo here came with an older release, which did not mark what belongs to it. Run{" "}
            <code>npm run raintrip -- demo --mark</code> on the machine; then it can be removed here. Your own sites
            stay.
          </p>
        </section>
      </IfMay>
    );
  if (!data || (data.sites > 0 && data.demo.sites === 0 && data.demo.loading === null)) return null;
  return (
    <IfMay operation="demo.manage">
      <section className="panel" aria-label="Demo">
        <h2 className="first">Demo fleet</h2>
        {data.demo.loading !== null || (load.isSuccess && data.sites === 0) ? (
          <p role="status">
            Being loaded <progress value={data.demo.loading ?? 0} max={1} aria-label="Progress of the demo" />
          </p>
        ) : data.demo.sites > 0 ? (
          <>
            <p>
              {data.demo.sites} invented sites are here. Removing them takes everything that came with the demo or was
              entered on it, and its people; your own sites stay, and the audit log says what was done.
            </p>
            <label className="tick">
              <input type="checkbox" checked={sure} onChange={(event) => setSure(event.target.checked)} />
              Remove it for good; nothing of it is kept
            </label>
            <p>
              <button
                type="button"
                className="button"
                disabled={!sure || remove.isPending}
                onClick={() => remove.mutate()}
              >
                {remove.isPending ? "Removing …" : "Remove the demo"}
              </button>
            </p>
          </>
        ) : (
          <>
            <p>An invented fleet with weather, faults and visits, to look around in. It can be removed again.</p>
            <p>
              <button type="button" className="button" disabled={load.isPending} onClick={() => load.mutate()}>
                Load the demo
              </button>
            </p>
          </>
        )}
        {remove.data && !remove.data.setUp ? (
          <p role="status">{remove.data.sites} sites of the demo were removed.</p>
        ) : null}
        <Trouble says={trouble?.message} />
      </section>
    </IfMay>
  );
}
