import { answer } from "@/app/api/answer.ts";
import { apiActor } from "@/lib/reads/api-actor.ts";
import { setAsideDownload } from "@/lib/reads/set-aside-download.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request, context: { params: Promise<{ importId: string }> }): Promise<Response> {
  return answer(async () =>
    setAsideDownload(await apiActor(request.headers.get("authorization")), (await context.params).importId),
  );
}
