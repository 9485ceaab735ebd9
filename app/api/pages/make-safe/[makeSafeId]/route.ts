import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { MakeSafeStepBody, writeMakeSafeStep } from "@/lib/writes/make-safe-step.ts";

export function POST(request: Request, context: { params: Promise<{ makeSafeId: string }> }): Promise<Response> {
  return answer(async () => {
    const { makeSafeId } = await context.params;
    return writeMakeSafeStep(await currentActor(), makeSafeId, await parseBody(MakeSafeStepBody, request));
  }, 201);
}
