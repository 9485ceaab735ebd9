import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { TravelTimesBody, takeTravelTimes } from "@/lib/writes/travel-times.ts";

export function POST(request: Request): Promise<Response> {
  return answer(async () => takeTravelTimes(await currentActor(), (await parseBody(TravelTimesBody, request)).text));
}
