import { answer } from "@/app/api/answer.ts";
import { AppError } from "@/lib/core/app-error.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readNextTests } from "@/lib/reads/what-if.ts";

export const dynamic = "force-dynamic";

export function GET(_request: Request, context: { params: Promise<{ siteId: string }> }): Promise<Response> {
  return answer(async () => {
    const { siteId } = await context.params;
    const view = await readNextTests(await currentActor(), siteId);
    if (!view) throw new AppError("not_found", { message: `There is no site "${siteId}".` });
    return view;
  });
}
