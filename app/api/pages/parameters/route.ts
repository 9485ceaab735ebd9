import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { SaveParametersBody, saveParameters } from "@/lib/writes/save-parameters.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => saveParameters(await currentActor(), await parseBody(SaveParametersBody, request)), 201);
}
