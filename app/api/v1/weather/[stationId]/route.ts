import { apiAnswer } from "@/app/api/v1/api-answer.ts";
import { readWeather, WeatherQuery } from "@/lib/reads/weather.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request, context: { params: Promise<{ stationId: string }> }): Promise<Response> {
  return apiAnswer(request, WeatherQuery, async (actor, query) =>
    readWeather(actor, (await context.params).stationId, query),
  );
}
