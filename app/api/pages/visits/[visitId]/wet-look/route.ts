import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { changeWetLook, WetLookBody } from "@/lib/writes/wet-look.ts";

export function POST(request: Request, context: { params: Promise<{ visitId: string }> }): Promise<Response> {
  return answer(async () =>
    changeWetLook(await currentActor(), (await context.params).visitId, await parseBody(WetLookBody, request)),
  );
}
