import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { DiscoveryBody, enterDiscovery } from "@/lib/writes/discovery.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => enterDiscovery(await currentActor(), await parseBody(DiscoveryBody, request)), 201);
}
