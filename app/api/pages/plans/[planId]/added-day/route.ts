import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";
import { AddedDayQuery, readAddedDay } from "@/lib/reads/plan-added-day.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request, context: { params: Promise<{ planId: string }> }): Promise<Response> {
  return answer(async () =>
    readAddedDay(await currentActor(), (await context.params).planId, parseQuery(AddedDayQuery, request.url)),
  );
}
