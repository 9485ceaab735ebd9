import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readFleetFindings } from "@/lib/reads/fleet-findings.ts";

export const dynamic = "force-dynamic";

export function GET(): Promise<Response> {
  return answer(async () => readFleetFindings(await currentActor()));
}
