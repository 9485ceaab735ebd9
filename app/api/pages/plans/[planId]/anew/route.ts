import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { askPlanAnew } from "@/lib/writes/ask-plan.ts";
import { PlanAnewBody } from "@/lib/writes/make-plan.ts";

export function POST(request: Request, context: { params: Promise<{ planId: string }> }): Promise<Response> {
  return answer(
    async () =>
      askPlanAnew(await currentActor(), (await context.params).planId, await parseBody(PlanAnewBody, request)),
    202,
  );
}
