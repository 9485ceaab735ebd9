import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readDraftRun } from "@/lib/reads/draft-run.ts";

export const dynamic = "force-dynamic";

export function GET(_request: Request, context: { params: Promise<{ runId: string }> }): Promise<Response> {
  return answer(async () => readDraftRun(await currentActor(), (await context.params).runId));
}
