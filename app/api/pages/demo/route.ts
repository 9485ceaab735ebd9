import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { loadDemoFleet } from "@/lib/writes/load-demo.ts";

export function POST(): Promise<Response> {
  return answer(async () => {
    await loadDemoFleet(await currentActor());
    return { loading: true };
  }, 202);
}
