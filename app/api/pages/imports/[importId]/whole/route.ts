import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { WholeCountAsk } from "@/lib/reads/import-mapping-view.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { reportError } from "@/lib/reads/report-error.ts";
import { countWholeFile } from "@/lib/reads/whole-file-count.ts";

export const dynamic = "force-dynamic";

/** Lines of JSON, one whenever a hundredth more of the file was read. Closing the connection ends the reading. */
export function POST(request: Request, context: { params: Promise<{ importId: string }> }): Promise<Response> {
  return answer(async () => {
    const ask = await parseBody(WholeCountAsk, request);
    const counts = await countWholeFile(await currentActor(), (await context.params).importId, ask);
    const bytes = new TextEncoder();
    const body = new ReadableStream<Uint8Array>({
      async pull(controller) {
        try {
          const next = await counts.next();
          if (next.done) controller.close();
          else controller.enqueue(bytes.encode(`${JSON.stringify(next.value)}\n`));
        } catch (error) {
          reportError(error);
          controller.error(error);
        }
      },
      async cancel() {
        await counts.return(undefined);
      },
    });
    return new Response(body, { headers: { "content-type": "application/x-ndjson", "cache-control": "no-store" } });
  });
}
