import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { StartImport } from "@/lib/reads/import-mapping-view.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { startImport } from "@/lib/writes/start-import.ts";

export function POST(request: Request, context: { params: Promise<{ importId: string }> }): Promise<Response> {
  return answer(async () => {
    await startImport(await currentActor(), (await context.params).importId, await parseBody(StartImport, request));
    return { started: true };
  });
}
