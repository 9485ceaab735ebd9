import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readPlanBoard } from "@/lib/reads/plan-board.ts";

export const dynamic = "force-dynamic";

export function GET(_request: Request, context: { params: Promise<{ planId: string }> }): Promise<Response> {
  return answer(async () => readPlanBoard(await currentActor(), (await context.params).planId));
}
