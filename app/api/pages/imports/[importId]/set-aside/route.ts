import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { setAsideDownload } from "@/lib/reads/set-aside-download.ts";

export const dynamic = "force-dynamic";

export function GET(_request: Request, context: { params: Promise<{ importId: string }> }): Promise<Response> {
  return answer(async () => setAsideDownload(await currentActor(), (await context.params).importId));
}
