import type { z } from "zod";
import { AppError } from "../core/app-error.ts";

/**
 * Query parameters of a URL through a schema.
 * @throws AppError `wrong_use` naming the parameter and what it should be
 */
export function parseQuery<S extends z.ZodType>(schema: S, url: string): z.infer<S> {
  const parsed = schema.safeParse(Object.fromEntries(new URL(url).searchParams));
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0];
  throw new AppError("wrong_use", { message: `Parameter "${issue?.path.join(".")}": ${issue?.message}.` });
}
