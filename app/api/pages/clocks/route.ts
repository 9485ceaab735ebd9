import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { AcceptClockBody, acceptClock } from "@/lib/writes/clock-correction.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => acceptClock(await currentActor(), await parseBody(AcceptClockBody, request)), 201);
}
