import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readLossRun } from "@/lib/reads/exposure.ts";
import { startLossRun } from "@/lib/writes/loss-run.ts";

export const dynamic = "force-dynamic";

export function GET(): Promise<Response> {
  return answer(async () => readLossRun(await currentActor()));
}

export function POST(): Promise<Response> {
  return answer(async () => startLossRun(await currentActor()), 202);
}
