import type { z } from "zod";
import { AppError } from "../core/app-error.ts";

/**
 * A JSON body through a schema.
 * @throws AppError `wrong_use` naming the field and what it should be
 */
export async function parseBody<S extends z.ZodType>(schema: S, request: Request): Promise<z.infer<S>> {
  const body: unknown = await request.json().catch(() => {
    throw new AppError("wrong_use", { message: "The request's body is not JSON." });
  });
  const parsed = schema.safeParse(body);
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0];
  throw new AppError("wrong_use", { message: `"${issue?.path.join(".")}": ${issue?.message}.` });
}
