import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readMoves } from "@/lib/reads/moves.ts";

export const dynamic = "force-dynamic";

export function GET(): Promise<Response> {
  return answer(async () => ({ moves: await readMoves(await currentActor()) }));
}
