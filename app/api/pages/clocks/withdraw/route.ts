import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { WithdrawClockBody, withdrawClock } from "@/lib/writes/clock-correction.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => withdrawClock(await currentActor(), await parseBody(WithdrawClockBody, request)));
}
