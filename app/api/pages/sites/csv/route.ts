import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { RankedSitesQuery, SitesSetting } from "@/lib/reads/ranked-sites-query.ts";
import { sitesCsv } from "@/lib/reads/sites-csv.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return answer(async () => {
    const params = new URL(request.url).searchParams;
    const columns = SitesSetting.shape.columns.catch(() => SitesSetting.parse({}).columns);
    return sitesCsv(
      await currentActor(),
      RankedSitesQuery.parse(Object.fromEntries(params)),
      columns.parse(params.get("columns")?.split(",").filter(Boolean)),
    );
  });
}
