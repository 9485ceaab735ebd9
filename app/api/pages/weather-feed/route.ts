import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readWeatherFeed } from "@/lib/reads/weather-feed.ts";
import { startWeatherRun } from "@/lib/writes/weather-feed.ts";

export const dynamic = "force-dynamic";

export function GET(): Promise<Response> {
  return answer(async () => readWeatherFeed(await currentActor()));
}

export function POST(): Promise<Response> {
  return answer(async () => startWeatherRun(await currentActor()), 202);
}
