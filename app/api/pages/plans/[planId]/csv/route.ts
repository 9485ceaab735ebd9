import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { planCsv } from "@/lib/reads/day-sheet.ts";

export const dynamic = "force-dynamic";

export function GET(_request: Request, context: { params: Promise<{ planId: string }> }): Promise<Response> {
  return answer(async () => planCsv(await currentActor(), (await context.params).planId));
}
