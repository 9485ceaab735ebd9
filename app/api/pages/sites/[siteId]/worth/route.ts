import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readWorth } from "@/lib/reads/worth.ts";

export const dynamic = "force-dynamic";

export function GET(_request: Request, context: { params: Promise<{ siteId: string }> }): Promise<Response> {
  return answer(async () => readWorth(await currentActor(), (await context.params).siteId));
}
