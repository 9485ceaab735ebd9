import { answer } from "@/app/api/answer.ts";
import { apiActor } from "@/lib/reads/api-actor.ts";
import { readQueueWhenFresh } from "@/lib/reads/queue.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return answer(async () => readQueueWhenFresh(await apiActor(request.headers.get("authorization"))));
}
