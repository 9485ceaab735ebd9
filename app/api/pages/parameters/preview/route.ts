import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { PreviewBody, readPreview } from "@/lib/reads/parameters.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => readPreview(await currentActor(), await parseBody(PreviewBody, request)));
}
