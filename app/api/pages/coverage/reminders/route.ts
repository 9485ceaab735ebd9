import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { AcknowledgeBody, acknowledgeReminder } from "@/lib/writes/acknowledge-reminder.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => acknowledgeReminder(await currentActor(), await parseBody(AcknowledgeBody, request)));
}
