import { answer } from "@/app/api/answer.ts";
import { apiActor } from "@/lib/reads/api-actor.ts";
import { readPlanRun } from "@/lib/reads/plan-run.ts";
import { cancelPlanRun } from "@/lib/writes/plan-run.ts";

export const dynamic = "force-dynamic";

type Given = { params: Promise<{ runId: string }> };

export function GET(request: Request, { params }: Given): Promise<Response> {
  return answer(async () => readPlanRun(await apiActor(request.headers.get("authorization")), (await params).runId));
}

export function DELETE(request: Request, { params }: Given): Promise<Response> {
  return answer(async () => cancelPlanRun(await apiActor(request.headers.get("authorization")), (await params).runId));
}
