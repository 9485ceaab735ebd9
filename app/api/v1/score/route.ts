import { apiAnswer } from "@/app/api/v1/api-answer.ts";
import { readScoreWhenFresh, ScoreQuery } from "@/lib/reads/score.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return apiAnswer(request, ScoreQuery, readScoreWhenFresh);
}
