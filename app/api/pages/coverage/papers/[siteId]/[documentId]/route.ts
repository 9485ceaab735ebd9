import { answer } from "@/app/api/answer.ts";
import { attachment } from "@/app/api/attachment.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readPaper } from "@/lib/reads/coverage.ts";

interface Context {
  params: Promise<{ siteId: string; documentId: string }>;
}

export function GET(_request: Request, context: Context): Promise<Response> {
  return answer(async () => {
    const { siteId, documentId } = await context.params;
    const { content, fileName, mediaType } = await readPaper(await currentActor(), siteId, documentId);
    return new Response(new Uint8Array(content), { headers: attachment(fileName, mediaType) });
  });
}
