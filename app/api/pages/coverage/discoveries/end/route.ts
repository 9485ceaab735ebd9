import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { EndDiscoveryBody, endDiscovery } from "@/lib/writes/discovery.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => endDiscovery(await currentActor(), await parseBody(EndDiscoveryBody, request)), 201);
}
