import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { NoticeSentBody, recordNotice } from "@/lib/writes/notice-sent.ts";

export function POST(request: Request): Promise<Response> {
  return answer(
    async () => recordNotice(await currentActor(), await parseBody(NoticeSentBody, request), Date.now()),
    201,
  );
}
