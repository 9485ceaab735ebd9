import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readAlertCount } from "@/lib/reads/alerts.ts";

export function GET(): Promise<Response> {
  return answer(async () => readAlertCount(await currentActor()));
}
