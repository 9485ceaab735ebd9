import { apiAnswer } from "@/app/api/v1/api-answer.ts";
import { PlanQuery, readPlanWhenFresh } from "@/lib/reads/plan.ts";
import { startPlanRun } from "@/lib/writes/plan-run.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return apiAnswer(request, PlanQuery, readPlanWhenFresh);
}

export function POST(request: Request): Promise<Response> {
  return apiAnswer(request, PlanQuery, startPlanRun, 202);
}
