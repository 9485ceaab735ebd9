import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { endSession } from "@/lib/writes/sessions.ts";

export function POST(_request: Request, context: { params: Promise<{ sessionId: string }> }): Promise<Response> {
  return answer(async () => endSession(await currentActor(), (await context.params).sessionId));
}
