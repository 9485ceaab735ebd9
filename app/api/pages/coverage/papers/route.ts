import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";
import { keepPaper, PaperQuery } from "@/lib/writes/coverage-paper.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => keepPaper(await currentActor(), parseQuery(PaperQuery, request.url), request), 201);
}
