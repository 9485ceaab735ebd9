import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { removeTravelTimes } from "@/lib/writes/travel-times.ts";

export function POST(): Promise<Response> {
  return answer(async () => removeTravelTimes(await currentActor()));
}
