import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { invitePerson, PersonBody } from "@/lib/writes/people.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => invitePerson(await currentActor(), await parseBody(PersonBody, request)), 201);
}
