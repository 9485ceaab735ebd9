import { answer } from "@/app/api/answer.ts";
import { AppError } from "@/lib/core/app-error.ts";
import { apiActor } from "@/lib/reads/api-actor.ts";
import { readImportDocument } from "@/lib/reads/imports.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request, context: { params: Promise<{ importId: string }> }): Promise<Response> {
  return answer(async () => {
    const { importId } = await context.params;
    const document = await readImportDocument(await apiActor(request.headers.get("authorization")), importId);
    if (!document) throw new AppError("not_found", { message: `There is no import ${importId}.` });
    return document;
  });
}
