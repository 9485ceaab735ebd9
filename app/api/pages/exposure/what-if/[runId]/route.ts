import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readWhatIfRun } from "@/lib/reads/exposure.ts";

export const dynamic = "force-dynamic";

export function GET(_request: Request, context: { params: Promise<{ runId: string }> }): Promise<Response> {
  return answer(async () => readWhatIfRun(await currentActor(), (await context.params).runId));
}
