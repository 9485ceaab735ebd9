"use client";

import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { getJson } from "@/app/_ui/get-json.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import type { MovesView, PlanBoardView } from "@/lib/reads/plan-board-view.ts";
import type { PlanEdit } from "@/lib/writes/change-plan.ts";

export const planUrl = (planId: string) => `/api/pages/plans/${encodeURIComponent(planId)}`;

/** A plan as it is on the server, and the ways to change it. */
export function usePlan(initial: PlanBoardView) {
  const client = useQueryClient();
  const url = planUrl(initial.planId);
  const { data: plan } = useQuery({
    queryKey: ["plan", initial.planId],
    queryFn: ({ signal }) => getJson<PlanBoardView>(url, signal),
    initialData: initial,
    staleTime: 30_000,
    refetchInterval: 60_000,
  });
  const again = () => client.invalidateQueries({ queryKey: ["plan", initial.planId] });
  const change = useMutation({
    mutationFn: ({ edit, reason }: { edit: PlanEdit; reason?: string }) =>
      postJson(`${url}/changes`, { revision: plan.revision, change: edit, ...(reason ? { reason } : {}) }),
    onSettled: again,
  });
  const anew = useMutation({
    mutationFn: () => postJson<{ runId: string }>(`${url}/anew`, { revision: plan.revision }),
  });
  const confirm = useMutation({
    mutationFn: () => postJson<{ moved: string[] }>(`${url}/confirm`, { revision: plan.revision }),
    onSettled: again,
  });
  return { plan, change, anew, confirm, again };
}

/** Where a visit could go, with what each place would change. */
export function useMoves(planId: string, revision: number, visitId: string | null) {
  return useQuery({
    queryKey: ["plan-moves", planId, revision, visitId],
    queryFn: ({ signal }) =>
      getJson<MovesView>(`${planUrl(planId)}/moves?visit=${encodeURIComponent(visitId ?? "")}`, signal),
    enabled: visitId !== null,
    staleTime: 30_000,
    retry: false,
  });
}
