import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { askRest } from "@/lib/writes/ask-plan.ts";
import { ReplanRestBody } from "@/lib/writes/replan-rest.ts";

export function POST(request: Request, context: { params: Promise<{ planId: string }> }): Promise<Response> {
  return answer(
    async () => askRest(await currentActor(), (await context.params).planId, await parseBody(ReplanRestBody, request)),
    202,
  );
}
