import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { ChangePathBody, changePath } from "@/lib/writes/change-path.ts";

export function POST(request: Request, context: { params: Promise<{ siteId: string }> }): Promise<Response> {
  return answer(async () => {
    const { siteId } = await context.params;
    return changePath(await currentActor(), siteId, await parseBody(ChangePathBody, request));
  });
}
