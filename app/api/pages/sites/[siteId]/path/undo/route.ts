import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { UndoPathBody, undoPathChange } from "@/lib/writes/change-path.ts";

export function POST(request: Request, context: { params: Promise<{ siteId: string }> }): Promise<Response> {
  return answer(async () => {
    const { siteId } = await context.params;
    return undoPathChange(await currentActor(), siteId, await parseBody(UndoPathBody, request));
  });
}
