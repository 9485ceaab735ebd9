import { answer } from "@/app/api/answer.ts";
import { apiActor } from "@/lib/reads/api-actor.ts";
import { ExposureQuery, readExposureWhenFresh } from "@/lib/reads/exposure.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return answer(async () => {
    const actor = await apiActor(request.headers.get("authorization"));
    return readExposureWhenFresh(actor, parseQuery(ExposureQuery, request.url));
  });
}
