import { answer } from "@/app/api/answer.ts";
import { AppError } from "@/lib/core/app-error.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { readWhatIf, WhatIfBody } from "@/lib/reads/what-if.ts";

export function POST(request: Request, context: { params: Promise<{ siteId: string }> }): Promise<Response> {
  return answer(async () => {
    const { siteId } = await context.params;
    const view = await readWhatIf(await currentActor(), siteId, await parseBody(WhatIfBody, request));
    if (!view) throw new AppError("not_found", { message: `There is no site "${siteId}".` });
    return view;
  });
}
