import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { OpenMakeSafesQuery } from "@/lib/reads/make-safe-view.ts";
import { readOpenMakeSafes } from "@/lib/reads/open-make-safes.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";

export function GET(request: Request): Promise<Response> {
  return answer(async () => readOpenMakeSafes(await currentActor(), parseQuery(OpenMakeSafesQuery, request.url)));
}
