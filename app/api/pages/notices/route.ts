import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readGoingOut } from "@/lib/reads/going-out.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { AddRecipientBody, addNoticeRecipient } from "@/lib/writes/notice-recipient.ts";

export const dynamic = "force-dynamic";

export function GET(): Promise<Response> {
  return answer(async () => readGoingOut(await currentActor()));
}

export function POST(request: Request): Promise<Response> {
  return answer(async () => addNoticeRecipient(await currentActor(), await parseBody(AddRecipientBody, request)), 201);
}
