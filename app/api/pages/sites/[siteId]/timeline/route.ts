import { answer } from "@/app/api/answer.ts";
import { AppError } from "@/lib/core/app-error.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";
import { readSiteTimeline, TimelineQuery } from "@/lib/reads/site-timeline.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request, context: { params: Promise<{ siteId: string }> }): Promise<Response> {
  return answer(async () => {
    const { siteId } = await context.params;
    const timeline = await readSiteTimeline(await currentActor(), siteId, parseQuery(TimelineQuery, request.url));
    if (!timeline) throw new AppError("not_found", { message: `There is no site "${siteId}".` });
    return timeline;
  });
}
