import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readImports } from "@/lib/reads/imports.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";
import { receiveUpload, UploadQuery } from "@/lib/writes/receive-upload.ts";

export const dynamic = "force-dynamic";

export function GET(): Promise<Response> {
  return answer(async () => readImports(await currentActor()));
}

export function POST(request: Request): Promise<Response> {
  return answer(
    async () =>
      receiveUpload(await currentActor(), parseQuery(UploadQuery, request.url), request.headers, request.body),
    202,
  );
}
