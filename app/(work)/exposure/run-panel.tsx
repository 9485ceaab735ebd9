"use client";

import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { useEffect, useRef } from "react";
import { utcTime } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import type { ExposureRun } from "@/lib/reads/exposure-view.ts";

const isOpen = (run: ExposureRun | null) => run?.status === "waiting" || run?.status === "running";

interface Props {
  first: ExposureRun | null;
  stale: boolean;
  staleSites: number;
  computedAt: string | null;
  years: number | null;
  parameters: string | null;
}

async function fetchRun(): Promise<{ run: ExposureRun | null }> {
  const reply = await fetch("/api/pages/exposure");
  if (!reply.ok) throw new Error(`How the run stands could not be read (${reply.status}).`);
  return (await reply.json()) as { run: ExposureRun | null };
}

/** What the figures rest on, whether they are stale, and the run that brings them up to date. */
export function RunPanel({ first, stale, staleSites, computedAt, years, parameters }: Props) {
  const client = useQueryClient();
  const router = useRouter();
  const { data } = useQuery({
    queryKey: ["exposure-run"],
    queryFn: fetchRun,
    initialData: { run: first },
    refetchInterval: (q) => (isOpen(q.state.data?.run ?? null) ? 700 : 15_000),
  });
  const act = useMutation({
    mutationFn: ({ url, body }: { url: string; body: unknown }) => postJson(url, body),
    onSettled: () => client.invalidateQueries({ queryKey: ["exposure-run"] }),
  });
  const { run } = data;
  const shown = useRef(first?.finishedAt ?? null);
  useEffect(() => {
    if (run && !isOpen(run) && run.finishedAt !== shown.current) {
      shown.current = run.finishedAt;
      router.refresh();
    }
  }, [run, router]);
  return (
    <section aria-label="How these figures were made">
      {stale || staleSites > 0 ? (
        <p className="note gap" role="status">
          <strong>Stale.</strong>{" "}
          {stale ? "Scores, contracts or parameters have moved since these figures were drawn. " : ""}
          {staleSites > 0 ? `${staleSites} sites wait for a new score; the figures follow once they have it.` : ""}
        </p>
      ) : null}
      {isOpen(run) && run ? (
        <p role="status">
          Drawing the coming year: {run.done.toLocaleString("en-US")} of{" "}
          {Math.max(run.total, run.done).toLocaleString("en-US")} years{" "}
          <progress value={run.done} max={Math.max(1, run.total)} aria-label="Progress of the draw" />{" "}
          <button
            type="button"
            className="button"
            disabled={act.isPending}
            onClick={() => act.mutate({ url: "/api/pages/exposure/stop", body: { runId: run.runId } })}
          >
            Stop
          </button>
        </p>
      ) : (
        <p className="soft">
          {computedAt
            ? `${years?.toLocaleString("en-US")} years drawn, ${utcTime(computedAt)}, parameters ${parameters}. `
            : "Nothing was drawn yet. "}
          {run?.status === "failed" || run?.status === "cancelled" ? `The newest run: ${run.says} ` : ""}
          <button
            type="button"
            className="button"
            disabled={act.isPending}
            onClick={() => act.mutate({ url: "/api/pages/exposure", body: {} })}
          >
            Draw again
          </button>
        </p>
      )}
      <Trouble says={act.error?.message} />
    </section>
  );
}
