import type { z } from "zod";
import { answer } from "@/app/api/answer.ts";
import { apiActor } from "@/lib/reads/api-actor.ts";
import { parseApiQuery } from "@/lib/reads/parse-query.ts";

type ApiActor = Awaited<ReturnType<typeof apiActor>>;

/**
 * What every door of the HTTP API begins with: who asks, then whether the address is asked only what it knows.
 * @param query the parameters that it takes; `NO_QUERY` where there are none
 */
export function apiAnswer<S extends z.ZodObject>(
  request: Request,
  query: S,
  handler: (actor: ApiActor, query: z.infer<S>) => Promise<unknown>,
  good = 200,
): Promise<Response> {
  return answer(async () => {
    const actor = await apiActor(request.headers.get("authorization"));
    return handler(actor, parseApiQuery(query, request.url));
  }, good);
}
