import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { parseBody } from "@/lib/reads/parse-body.ts";
import { SitesSetting } from "@/lib/reads/ranked-sites-query.ts";
import { readSitesSetting } from "@/lib/reads/sites-setting.ts";
import { keepSitesSetting } from "@/lib/writes/sites-setting.ts";

export const dynamic = "force-dynamic";

export function GET(): Promise<Response> {
  return answer(async () => readSitesSetting(await currentActor()));
}

export function POST(request: Request): Promise<Response> {
  return answer(async () => {
    await keepSitesSetting(await currentActor(), await parseBody(SitesSetting, request));
    return { kept: true };
  });
}
