import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { setOwnUnits, UnitsBody } from "@/lib/writes/own-units.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => setOwnUnits(await currentActor(), await parseBody(UnitsBody, request)));
}
