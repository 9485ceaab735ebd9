import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { DaySheetQuery, daySheetPdf } from "@/lib/reads/day-sheet.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request, context: { params: Promise<{ planId: string }> }): Promise<Response> {
  return answer(async () =>
    daySheetPdf(await currentActor(), (await context.params).planId, parseQuery(DaySheetQuery, request.url)),
  );
}
