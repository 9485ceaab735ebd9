import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readMapping, readWaitingFiles } from "@/lib/reads/import-mapping.ts";
import { MappingAsk } from "@/lib/reads/import-mapping-view.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";

export const dynamic = "force-dynamic";
interface Context {
  params: Promise<{ importId: string }>;
}

export function GET(_request: Request, context: Context): Promise<Response> {
  return answer(async () => readWaitingFiles(await currentActor(), (await context.params).importId));
}

export function POST(request: Request, context: Context): Promise<Response> {
  return answer(async () =>
    readMapping(await currentActor(), (await context.params).importId, await parseBody(MappingAsk, request)),
  );
}
