import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { lackingWaysCsv } from "@/lib/reads/travel-times.ts";

export const dynamic = "force-dynamic";

export function GET(): Promise<Response> {
  return answer(async () => lackingWaysCsv(await currentActor()));
}
