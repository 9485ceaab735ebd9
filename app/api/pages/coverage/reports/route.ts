import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { MonthlyReportBody, makeMonthlyReport } from "@/lib/writes/monthly-report.ts";

export function POST(request: Request): Promise<Response> {
  return answer(
    async () => makeMonthlyReport(await currentActor(), await parseBody(MonthlyReportBody, request), Date.now()),
    201,
  );
}
