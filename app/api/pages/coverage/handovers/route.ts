import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { enterHandover, HandoverBody } from "@/lib/writes/custody.ts";

export function POST(request: Request): Promise<Response> {
  return answer(
    async () => enterHandover(await currentActor(), await parseBody(HandoverBody, request), Date.now()),
    201,
  );
}
