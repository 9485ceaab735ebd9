import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { CoverageTermsBody, saveCoverageTerms } from "@/lib/writes/coverage-terms.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => saveCoverageTerms(await currentActor(), await parseBody(CoverageTermsBody, request)), 201);
}
