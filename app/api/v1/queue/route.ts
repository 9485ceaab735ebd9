import { apiAnswer } from "@/app/api/v1/api-answer.ts";
import { QueueQuery, readQueueWhenFresh } from "@/lib/reads/queue.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return apiAnswer(request, QueueQuery, readQueueWhenFresh);
}
