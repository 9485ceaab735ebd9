import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { linkPerson } from "@/lib/writes/people.ts";

export function POST(_request: Request, context: { params: Promise<{ personId: string }> }): Promise<Response> {
  return answer(async () => linkPerson(await currentActor(), (await context.params).personId), 201);
}
