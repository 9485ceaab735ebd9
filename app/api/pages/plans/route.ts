import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { MakePlanBody, makePlan } from "@/lib/writes/make-plan.ts";

export function POST(request: Request): Promise<Response> {
  return answer(
    async () => makePlan(await currentActor(), await parseBody(MakePlanBody, request), request.signal),
    201,
  );
}
