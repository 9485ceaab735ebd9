import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { RemoveDemo, removeDemo } from "@/lib/writes/load-demo.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => removeDemo(await currentActor(), await parseBody(RemoveDemo, request)));
}
