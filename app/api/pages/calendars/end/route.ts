import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { endCalendarFeed, RevokeFeedBody } from "@/lib/writes/calendar-feed.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => endCalendarFeed(await currentActor(), await parseBody(RevokeFeedBody, request)));
}
