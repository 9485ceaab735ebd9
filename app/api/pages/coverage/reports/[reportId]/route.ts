import { answer } from "@/app/api/answer.ts";
import { attachment } from "@/app/api/attachment.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readMonthlyReport } from "@/lib/reads/monthly-report.ts";

interface Context {
  params: Promise<{ reportId: string }>;
}

export function GET(_request: Request, context: Context): Promise<Response> {
  return answer(async () => {
    const { pdf, fileName } = await readMonthlyReport(await currentActor(), (await context.params).reportId);
    return new Response(new Uint8Array(pdf), { headers: attachment(fileName, "application/pdf") });
  });
}
