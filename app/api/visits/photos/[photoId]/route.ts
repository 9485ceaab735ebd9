import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readVisitPhoto } from "@/lib/reads/visit-photo.ts";

export function GET(_: Request, context: { params: Promise<{ photoId: string }> }): Promise<Response> {
  return answer(async () => readVisitPhoto(await currentActor(), (await context.params).photoId));
}
