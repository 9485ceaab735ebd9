import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { SyncVisitBody, syncVisit } from "@/lib/writes/sync-visit.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => syncVisit(await currentActor(), await parseBody(SyncVisitBody, request)));
}
