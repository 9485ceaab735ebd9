import { answer } from "@/app/api/answer.ts";
import { apiActor } from "@/lib/reads/api-actor.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";
import { PlanQuery, readPlanWhenFresh } from "@/lib/reads/plan.ts";
import { startPlanRun } from "@/lib/writes/plan-run.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return answer(async () => {
    const actor = await apiActor(request.headers.get("authorization"));
    return readPlanWhenFresh(actor, parseQuery(PlanQuery, request.url));
  });
}

export function POST(request: Request): Promise<Response> {
  return answer(async () => {
    const actor = await apiActor(request.headers.get("authorization"));
    return startPlanRun(actor, parseQuery(PlanQuery, request.url));
  }, 202);
}
