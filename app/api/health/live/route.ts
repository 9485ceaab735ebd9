export const dynamic = "force-dynamic";

/** That the process answers; whether it can work is asked at /api/health/ready. */
export function GET(): Response {
  return Response.json({ live: true }, { headers: { "cache-control": "no-store" } });
}
