import { answer } from "@/app/api/answer.ts";
import { signedIn } from "@/lib/reads/actor.ts";
import { endOtherSessions } from "@/lib/writes/sessions.ts";

export function POST(): Promise<Response> {
  return answer(async () => {
    const { actor, sessionId } = await signedIn();
    return endOtherSessions(actor, sessionId);
  });
}
