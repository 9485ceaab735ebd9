import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { StopPlanBody, stopAskedPlan } from "@/lib/writes/ask-plan.ts";

export function POST(request: Request, context: { params: Promise<{ runId: string }> }): Promise<Response> {
  return answer(async () =>
    stopAskedPlan(await currentActor(), (await context.params).runId, await parseBody(StopPlanBody, request)),
  );
}
