"use client";

import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { postJson } from "@/app/_ui/post-json.ts";
import type { MovesView, PlanBoardView } from "@/lib/reads/plan-board-view.ts";
import type { PlanEdit } from "@/lib/writes/change-plan.ts";

export async function getJson<T>(url: string, signal?: AbortSignal): Promise<T> {
  const reply = await fetch(url, signal ? { signal } : {});
  const said = (await reply.json().catch(() => null)) as { error?: { message?: string } } | null;
  if (!reply.ok) throw new Error(said?.error?.message ?? `The server answered ${reply.status}.`);
  return said as T;
}

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
    mutationFn: () => postJson(`${url}/anew`, { revision: plan.revision }),
    onSettled: again,
  });
  const confirm = useMutation({
    mutationFn: () => postJson<{ moved: string[] }>(`${url}/confirm`, { revision: plan.revision }),
    onSettled: again,
  });
  return { plan, change, anew, confirm };
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
