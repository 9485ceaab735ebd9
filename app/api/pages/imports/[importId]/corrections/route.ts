import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { Corrections, correctRows } from "@/lib/writes/correct-rows.ts";

export function POST(request: Request, context: { params: Promise<{ importId: string }> }): Promise<Response> {
  return answer(async () => {
    const { importId } = await context.params;
    return { importId: await correctRows(await currentActor(), importId, await parseBody(Corrections, request)) };
  }, 202);
}
