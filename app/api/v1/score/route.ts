import { answer } from "@/app/api/answer.ts";
import { apiActor } from "@/lib/reads/api-actor.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";
import { readScoreWhenFresh, ScoreQuery } from "@/lib/reads/score.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return answer(async () => {
    const actor = await apiActor(request.headers.get("authorization"));
    return readScoreWhenFresh(actor, parseQuery(ScoreQuery, request.url));
  });
}
