import { apiAnswer } from "@/app/api/v1/api-answer.ts";
import { NO_QUERY } from "@/lib/reads/parse-query.ts";
import { visitPaper } from "@/lib/reads/visit-papers.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request, context: { params: Promise<{ visitId: string }> }): Promise<Response> {
  return apiAnswer(request, NO_QUERY, async (actor) =>
    visitPaper(actor, "report", (await context.params).visitId, Date.now()),
  );
}
