import { answer } from "@/app/api/answer.ts";
import { openApiDocument } from "@/lib/reads/openapi.ts";
import { NO_QUERY, parseApiQuery } from "@/lib/reads/parse-query.ts";

export const dynamic = "force-dynamic";

/** It is the same as long as the program is. */
let document: ReturnType<typeof openApiDocument> | undefined;

export function GET(request: Request): Promise<Response> {
  return answer(async () => {
    parseApiQuery(NO_QUERY, request.url);
    document ??= openApiDocument();
    return document;
  });
}
