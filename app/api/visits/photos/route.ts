import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";
import { keepVisitPhoto, VisitPhotoQuery } from "@/lib/writes/visit-photo.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => keepVisitPhoto(await currentActor(), parseQuery(VisitPhotoQuery, request.url), request));
}
