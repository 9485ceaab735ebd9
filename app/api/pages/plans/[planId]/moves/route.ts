import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";
import { MovesQuery, readMoves } from "@/lib/reads/plan-moves.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request, context: { params: Promise<{ planId: string }> }): Promise<Response> {
  return answer(async () => {
    const { visit } = parseQuery(MovesQuery, request.url);
    return readMoves(await currentActor(), (await context.params).planId, visit);
  });
}
