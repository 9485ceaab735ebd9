import { apiAnswer } from "@/app/api/v1/api-answer.ts";
import { AppError } from "@/lib/core/app-error.ts";
import { readImportDocument } from "@/lib/reads/imports.ts";
import { NO_QUERY } from "@/lib/reads/parse-query.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request, context: { params: Promise<{ importId: string }> }): Promise<Response> {
  return apiAnswer(request, NO_QUERY, async (actor) => {
    const { importId } = await context.params;
    const document = await readImportDocument(actor, importId);
    if (!document) throw new AppError("not_found", { message: `There is no import ${importId}.` });
    return document;
  });
}
