import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { MovesQuery, readMoves } from "@/lib/reads/moves.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return answer(async () => ({
    moves: await readMoves(await currentActor(), parseQuery(MovesQuery, request.url), request.signal),
  }));
}
