import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readFirstRun } from "@/lib/reads/first-run.ts";

export const dynamic = "force-dynamic";

export function GET(): Promise<Response> {
  return answer(async () => readFirstRun(await currentActor()));
}
