import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { WhatIfAsked } from "@/lib/reads/exposure-stored.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { startWhatIf } from "@/lib/writes/loss-run.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => startWhatIf(await currentActor(), await parseBody(WhatIfAsked, request)), 202);
}
