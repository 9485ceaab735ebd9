import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readAlerts } from "@/lib/reads/alerts.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { AcknowledgeAlertBody, acknowledgeAlert } from "@/lib/writes/alerts.ts";

export function GET(): Promise<Response> {
  return answer(async () => readAlerts(await currentActor()));
}

export function POST(request: Request): Promise<Response> {
  return answer(
    async () => acknowledgeAlert(await currentActor(), await parseBody(AcknowledgeAlertBody, request)),
    201,
  );
}
