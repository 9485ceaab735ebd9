import { answer } from "@/app/api/answer.ts";
import { AppError } from "@/lib/core/app-error.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readImport } from "@/lib/reads/imports.ts";

export const dynamic = "force-dynamic";

export function GET(_request: Request, context: { params: Promise<{ importId: string }> }): Promise<Response> {
  return answer(async () => {
    const { importId } = await context.params;
    const view = await readImport(await currentActor(), importId);
    if (!view) throw new AppError("not_found", { message: `There is no import ${importId}.` });
    return view;
  });
}
