import { answer } from "@/app/api/answer.ts";
import { apiActor } from "@/lib/reads/api-actor.ts";
import { visitPaper } from "@/lib/reads/visit-papers.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request, context: { params: Promise<{ visitId: string }> }): Promise<Response> {
  return answer(async () =>
    visitPaper(
      await apiActor(request.headers.get("authorization")),
      "checklist",
      (await context.params).visitId,
      Date.now(),
    ),
  );
}
