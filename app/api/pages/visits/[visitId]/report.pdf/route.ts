import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { visitPaper } from "@/lib/reads/visit-papers.ts";

export const dynamic = "force-dynamic";

export function GET(_request: Request, context: { params: Promise<{ visitId: string }> }): Promise<Response> {
  return answer(async () => visitPaper(await currentActor(), "report", (await context.params).visitId, Date.now()));
}
