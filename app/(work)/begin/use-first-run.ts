"use client";

import { useQuery } from "@tanstack/react-query";
import { USE_FIRST_RUN } from "@/app/_words/begin.ts";
import type { FirstRunView } from "@/lib/reads/first-run-view.ts";

const REFRESH_MS = 5_000;

/** How far the installation is; it follows imports and scoring by itself. */
export function useFirstRun() {
  return useQuery({
    queryKey: ["first-run"],
    queryFn: async () => {
      const reply = await fetch("/api/pages/first-run");
      if (!reply.ok) throw new Error(USE_FIRST_RUN.theStepsCouldNot(reply.status));
      return (await reply.json()) as FirstRunView;
    },
    refetchInterval: (q) => (q.state.data?.demo.loading != null ? 1_000 : REFRESH_MS),
  });
}
