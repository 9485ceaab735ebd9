import { answer } from "@/app/api/answer.ts";
import { admitToMetrics, readMetrics } from "@/lib/reads/metrics.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return answer(async () => {
    admitToMetrics(request.headers.get("authorization"), request.headers.get("x-raintrip-peer"));
    const { text, contentType } = await readMetrics();
    return new Response(text, { headers: { "content-type": contentType, "cache-control": "no-store" } });
  });
}
