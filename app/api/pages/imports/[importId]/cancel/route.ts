import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { cancelImport } from "@/lib/writes/import-drop.ts";

export function POST(_request: Request, context: { params: Promise<{ importId: string }> }): Promise<Response> {
  return answer(async () => ({ cancelled: await cancelImport(await currentActor(), (await context.params).importId) }));
}
