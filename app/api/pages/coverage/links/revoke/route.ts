import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { RevokeLinkBody, revokeLink } from "@/lib/writes/access-link.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => revokeLink(await currentActor(), await parseBody(RevokeLinkBody, request)), 201);
}
