import { apiAnswer } from "@/app/api/v1/api-answer.ts";
import { NO_QUERY } from "@/lib/reads/parse-query.ts";
import { setAsideDownload } from "@/lib/reads/set-aside-download.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request, context: { params: Promise<{ importId: string }> }): Promise<Response> {
  return apiAnswer(request, NO_QUERY, async (actor) => setAsideDownload(actor, (await context.params).importId));
}
