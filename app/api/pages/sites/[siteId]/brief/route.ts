import { answer } from "@/app/api/answer.ts";
import { AppError } from "@/lib/core/app-error.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readSiteBrief } from "@/lib/reads/site-brief.ts";

export const dynamic = "force-dynamic";

export function GET(_request: Request, context: { params: Promise<{ siteId: string }> }): Promise<Response> {
  return answer(async () => {
    const { siteId } = await context.params;
    const brief = await readSiteBrief(await currentActor(), siteId);
    if (!brief) throw new AppError("not_found", { message: `There is no scored site "${siteId}".` });
    return brief;
  });
}
