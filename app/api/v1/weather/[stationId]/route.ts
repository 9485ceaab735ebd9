import { answer } from "@/app/api/answer.ts";
import { apiActor } from "@/lib/reads/api-actor.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";
import { readWeather, WeatherQuery } from "@/lib/reads/weather.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request, context: { params: Promise<{ stationId: string }> }): Promise<Response> {
  return answer(async () => {
    const { stationId } = await context.params;
    return readWeather(
      await apiActor(request.headers.get("authorization")),
      stationId,
      parseQuery(WeatherQuery, request.url),
    );
  });
}
