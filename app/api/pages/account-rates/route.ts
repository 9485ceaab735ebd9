import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { AccountRateBody, saveAccountRate } from "@/lib/writes/account-rate.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => saveAccountRate(await currentActor(), await parseBody(AccountRateBody, request)));
}
