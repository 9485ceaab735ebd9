import { z } from "zod";
import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { stopLossRun } from "@/lib/writes/loss-run.ts";

const Body = z.object({ runId: z.string().max(100) });

export function POST(request: Request): Promise<Response> {
  return answer(async () => stopLossRun(await currentActor(), (await parseBody(Body, request)).runId));
}
