"use client";

import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { useEffect, useRef } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { MOMENT, Timed } from "@/app/_ui/timed.tsx";
import { RUN_PANEL } from "@/app/_words/exposure.ts";
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
  if (!reply.ok) throw new Error(RUN_PANEL.howTheRunStands(reply.status));
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
    <section aria-label={RUN_PANEL.howTheseFiguresWere}>
      {stale || staleSites > 0 ? (
        <p className="note gap" role="status">
          <strong>{RUN_PANEL.stale}</strong> {stale ? RUN_PANEL.scoresContractsOrParameters : ""}
          {staleSites > 0 ? RUN_PANEL.sitesWaitForA(staleSites) : ""}
        </p>
      ) : null}
      {isOpen(run) && run ? (
        <p role="status">
          {RUN_PANEL.drawingTheComingYear(
            run.done.toLocaleString("en-US"),
            Math.max(run.total, run.done).toLocaleString("en-US"),
          )}{" "}
          <progress value={run.done} max={Math.max(1, run.total)} aria-label={RUN_PANEL.progressOfTheDraw} />{" "}
          <button
            type="button"
            className="button"
            disabled={act.isPending}
            onClick={() => act.mutate({ url: "/api/pages/exposure/stop", body: { runId: run.runId } })}
          >
            {RUN_PANEL.stop}
          </button>
        </p>
      ) : (
        <p className="soft">
          {computedAt ? (
            <Timed
              says={RUN_PANEL.yearsDrawnParameters(years?.toLocaleString("en-US"), MOMENT, parameters)}
              at={computedAt}
            />
          ) : (
            RUN_PANEL.nothingWasDrawnYet
          )}
          {run?.status === "failed" || run?.status === "cancelled" ? RUN_PANEL.theNewestRun(run.says) : ""}
          <button
            type="button"
            className="button"
            disabled={act.isPending}
            onClick={() => act.mutate({ url: "/api/pages/exposure", body: {} })}
          >
            {RUN_PANEL.drawAgain}
          </button>
        </p>
      )}
      <Trouble says={act.error?.message} />
    </section>
  );
}
