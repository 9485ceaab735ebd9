import { answer } from "@/app/api/answer.ts";
import { AppError } from "@/lib/core/app-error.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readWeatherPicture } from "@/lib/reads/weather-picture.ts";

export const dynamic = "force-dynamic";

export function GET(_request: Request, context: { params: Promise<{ siteId: string }> }): Promise<Response> {
  return answer(async () => {
    const { siteId } = await context.params;
    const picture = await readWeatherPicture(await currentActor(), siteId);
    if (!picture) throw new AppError("not_found", { message: `There is no site "${siteId}".` });
    return picture;
  });
}
