import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { stopWeatherRun } from "@/lib/writes/weather-feed.ts";

export function POST(): Promise<Response> {
  return answer(async () => stopWeatherRun(await currentActor()));
}
