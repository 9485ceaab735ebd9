import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { makeLink, NewLinkBody } from "@/lib/writes/access-link.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => makeLink(await currentActor(), await parseBody(NewLinkBody, request), Date.now()), 201);
}
