import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { revokeToken } from "@/lib/writes/api-tokens.ts";

export function POST(_request: Request, context: { params: Promise<{ tokenId: string }> }): Promise<Response> {
  return answer(async () => revokeToken(await currentActor(), (await context.params).tokenId));
}
