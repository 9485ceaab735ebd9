import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { askPlan } from "@/lib/writes/ask-plan.ts";
import { MakePlanBody } from "@/lib/writes/make-plan.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => askPlan(await currentActor(), await parseBody(MakePlanBody, request)), 202);
}
