import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { PLAN_ONE_PAGE } from "@/app/_words/plan.ts";
import { AppError } from "@/lib/core/app-error.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readDraftRuns } from "@/lib/reads/draft-run.ts";
import { readPlanBoard } from "@/lib/reads/plan-board.ts";
import { PlanBoard } from "./plan-board.tsx";

export const metadata: Metadata = { title: PLAN_ONE_PAGE.plan };
export const dynamic = "force-dynamic";

export default async function PlanPage({ params }: { params: Promise<{ planId: string }> }) {
  const planId = decodeURIComponent((await params).planId);
  const actor = await currentActor();
  const runs = await readDraftRuns(actor, planId);
  const view = await readPlanBoard(actor, planId).catch((error: unknown) => {
    if (error instanceof AppError && error.code === "not_found") return null;
    throw error;
  });
  if (!view) notFound();
  return <PlanBoard initial={view} runs={runs} />;
}
