import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { DetectorWordBody, sayDetector } from "@/lib/writes/detector-word.ts";

export function POST(request: Request, context: { params: Promise<{ siteId: string }> }): Promise<Response> {
  return answer(async () => {
    const { siteId } = await context.params;
    return sayDetector(await currentActor(), siteId, await parseBody(DetectorWordBody, request));
  }, 201);
}
