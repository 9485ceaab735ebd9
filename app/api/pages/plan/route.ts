import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";
import { PlanQuery } from "@/lib/reads/plan.ts";
import { readPlanPage } from "@/lib/reads/plan-page.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return answer(async () => readPlanPage(await currentActor(), parseQuery(PlanQuery, request.url)));
}
