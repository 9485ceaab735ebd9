import { answer } from "@/app/api/answer.ts";
import { apiActor } from "@/lib/reads/api-actor.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";
import { receiveUpload, UploadQuery } from "@/lib/writes/receive-upload.ts";

export const dynamic = "force-dynamic";

export function POST(request: Request): Promise<Response> {
  return answer(async () => {
    const actor = await apiActor(request.headers.get("authorization"));
    return receiveUpload(actor, parseQuery(UploadQuery, request.url), request.headers, request.body);
  }, 202);
}
