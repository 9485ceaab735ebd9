import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { RollBackBody, rollBackParameters } from "@/lib/writes/save-parameters.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => rollBackParameters(await currentActor(), await parseBody(RollBackBody, request)), 201);
}
