import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { DutyBody, saveDuty } from "@/lib/writes/alerts.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => saveDuty(await currentActor(), await parseBody(DutyBody, request)), 201);
}
