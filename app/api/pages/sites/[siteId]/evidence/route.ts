import { answer } from "@/app/api/answer.ts";
import { attachment } from "@/app/api/attachment.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { makeEvidenceArchive } from "@/lib/writes/evidence-archive.ts";

interface Context {
  params: Promise<{ siteId: string }>;
}

// A POST: making the file enters its seal in the audit log, which is no matter of a link that is only followed.
export function POST(_request: Request, context: Context): Promise<Response> {
  return answer(async () => {
    const { fileName, stream } = await makeEvidenceArchive(
      await currentActor(),
      (await context.params).siteId,
      Date.now(),
    );
    return new Response(stream, { headers: attachment(fileName, "application/zip") });
  });
}
