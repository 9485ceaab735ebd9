import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { makeToken, TokenBody } from "@/lib/writes/api-tokens.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => makeToken(await currentActor(), await parseBody(TokenBody, request)), 201);
}
