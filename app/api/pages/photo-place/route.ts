import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { PhotoPlaceBody, setPhotoPlace } from "@/lib/writes/visit-photo.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => setPhotoPlace(await currentActor(), await parseBody(PhotoPlaceBody, request)), 201);
}
