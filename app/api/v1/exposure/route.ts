import { apiAnswer } from "@/app/api/v1/api-answer.ts";
import { ExposureQuery, readExposureWhenFresh } from "@/lib/reads/exposure.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return apiAnswer(request, ExposureQuery, readExposureWhenFresh);
}
