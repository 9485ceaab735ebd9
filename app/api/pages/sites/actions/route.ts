import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { SitesAction } from "@/lib/reads/ranked-sites-query.ts";
import { actOnSites } from "@/lib/writes/sites-action.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => actOnSites(await currentActor(), await parseBody(SitesAction, request)));
}
