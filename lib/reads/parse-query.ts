import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { didYouMean } from "../core/nearest-name.ts";

/**
 * Query parameters of a URL through a schema.
 * @throws AppError `wrong_use` naming the parameter and what it should be
 */
export function parseQuery<S extends z.ZodType>(schema: S, url: string): z.infer<S> {
  return parsed(schema, Object.fromEntries(new URL(url).searchParams));
}

function parsed<S extends z.ZodType>(schema: S, values: Record<string, string>): z.infer<S> {
  const read = schema.safeParse(values);
  if (read.success) return read.data;
  const issue = read.error.issues[0];
  throw new AppError("wrong_use", { message: `Parameter "${issue?.path.join(".")}": ${issue?.message}.` });
}

/** Of a door that takes no parameters at all. */
export const NO_QUERY = z.strictObject({});
/** Flag of a command that the address of the same document takes too, where it changes nothing: every document is JSON. */
export const JSON_FLAG = "json";
const JsonFlag = z.enum(["", "1", "true"], "every answer here is JSON; leave it out");

/**
 * Query parameters of a door of the HTTP API: as `parseQuery`, but one that the door does not know is refused, and so is one
 * that comes twice, since an answer to another question than was asked is worse than none.
 * @throws AppError `wrong_use` naming the parameter, the nearest known one and all of them
 */
export function parseApiQuery<S extends z.ZodObject>(schema: S, url: string): z.infer<S> {
  const known = schema === (NO_QUERY as z.ZodObject) ? [] : [...Object.keys(schema.shape), JSON_FLAG];
  const values: Record<string, string> = {};
  for (const [name, value] of new URL(url).searchParams) {
    if (!known.includes(name)) throw unknownParameter(name, known);
    if (Object.hasOwn(values, name))
      throw new AppError("wrong_use", { message: `Parameter "${name}" is given more than once. Give it once.` });
    values[name] = value;
  }
  const { [JSON_FLAG]: json, ...given } = values;
  if (json !== undefined) parsed(z.object({ [JSON_FLAG]: JsonFlag }), { [JSON_FLAG]: json });
  return parsed(schema, given);
}

function unknownParameter(name: string, known: readonly string[]): AppError {
  const shown = name.length > 60 ? `${name.slice(0, 60)}…` : name;
  const all = known.length === 0 ? "This address takes none." : `This address takes: ${known.join(", ")}.`;
  return new AppError("wrong_use", {
    message: `There is no parameter "${shown}" here.${didYouMean(name, known)} ${all}`,
  });
}
