import { answer } from "@/app/api/answer.ts";
import { readCalendarFeed } from "@/lib/reads/calendar-feed.ts";

export const dynamic = "force-dynamic";

// Calendar programs send no token of ours: the link's own secret is what lets them in.
export function GET(_request: Request, context: { params: Promise<{ link: string }> }): Promise<Response> {
  return answer(async () => {
    const text = await readCalendarFeed((await context.params).link);
    const headers = { "content-type": "text/calendar; charset=utf-8", "cache-control": "private, no-cache" };
    return new Response(text, { headers });
  });
}
