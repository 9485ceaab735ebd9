import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { MakeFeedBody, makeCalendarFeed } from "@/lib/writes/calendar-feed.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => makeCalendarFeed(await currentActor(), await parseBody(MakeFeedBody, request)), 201);
}
