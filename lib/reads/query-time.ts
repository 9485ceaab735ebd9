import { z } from "zod";
import { parseIsoTime } from "../core/zoned-time.ts";

/** A time in a query: ISO 8601; without an offset it is UTC, a date alone is its first instant, UTC. Epoch ms. */
export const QueryTime = z.string().transform((text, ctx) => {
  const parsed = parseIsoTime(text, "UTC");
  if (parsed.ok) return parsed.dayOnly ? Date.parse(parsed.day) : parsed.at;
  ctx.addIssue({ code: "custom", message: parsed.reason });
  return z.NEVER;
});
