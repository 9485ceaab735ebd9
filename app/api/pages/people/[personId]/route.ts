import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { ChangePersonBody, changePerson } from "@/lib/writes/people.ts";

export function POST(request: Request, context: { params: Promise<{ personId: string }> }): Promise<Response> {
  return answer(async () => {
    const { personId } = await context.params;
    return changePerson(await currentActor(), personId, await parseBody(ChangePersonBody, request));
  });
}
