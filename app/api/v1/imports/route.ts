import { apiAnswer } from "@/app/api/v1/api-answer.ts";
import { receiveUpload, UploadQuery } from "@/lib/writes/receive-upload.ts";

export const dynamic = "force-dynamic";

export function POST(request: Request): Promise<Response> {
  return apiAnswer(
    request,
    UploadQuery,
    (actor, query) => receiveUpload(actor, query, request.headers, request.body),
    202,
  );
}
