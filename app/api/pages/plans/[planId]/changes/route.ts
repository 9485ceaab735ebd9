import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { ChangePlanBody, changePlan } from "@/lib/writes/change-plan.ts";

export function POST(request: Request, context: { params: Promise<{ planId: string }> }): Promise<Response> {
  return answer(async () =>
    changePlan(await currentActor(), (await context.params).planId, await parseBody(ChangePlanBody, request)),
  );
}
