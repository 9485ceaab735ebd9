import { readHealth } from "@/lib/reads/health.ts";

export const dynamic = "force-dynamic";

export async function GET(): Promise<Response> {
  const health = await readHealth();
  return Response.json(health, { status: health.ready ? 200 : 503, headers: { "cache-control": "no-store" } });
}
