import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { RecipientBody, testNotice } from "@/lib/writes/notice-recipient.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => testNotice(await currentActor(), await parseBody(RecipientBody, request)));
}
