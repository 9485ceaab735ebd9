import { apiAnswer } from "@/app/api/v1/api-answer.ts";
import { NO_QUERY } from "@/lib/reads/parse-query.ts";
import { readPlanRun } from "@/lib/reads/plan-run.ts";
import { cancelPlanRun } from "@/lib/writes/plan-run.ts";

export const dynamic = "force-dynamic";

type Given = { params: Promise<{ runId: string }> };

export function GET(request: Request, { params }: Given): Promise<Response> {
  return apiAnswer(request, NO_QUERY, async (actor) => readPlanRun(actor, (await params).runId));
}

export function DELETE(request: Request, { params }: Given): Promise<Response> {
  return apiAnswer(request, NO_QUERY, async (actor) => cancelPlanRun(actor, (await params).runId));
}
