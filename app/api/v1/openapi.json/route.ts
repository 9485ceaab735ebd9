import { openApiDocument } from "@/lib/reads/openapi.ts";

export const dynamic = "force-static";

export function GET(): Response {
  return Response.json(openApiDocument());
}
