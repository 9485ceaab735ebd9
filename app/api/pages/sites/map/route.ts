import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { RankedSitesQuery } from "@/lib/reads/ranked-sites-query.ts";
import { readSitesMap } from "@/lib/reads/sites-map.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return answer(async () => {
    const query = RankedSitesQuery.parse(Object.fromEntries(new URL(request.url).searchParams));
    return { map: await readSitesMap(await currentActor(), query) };
  });
}
