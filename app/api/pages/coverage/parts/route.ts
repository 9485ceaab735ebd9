import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { enterPart, PartBody } from "@/lib/writes/custody.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => enterPart(await currentActor(), await parseBody(PartBody, request), Date.now()), 201);
}
