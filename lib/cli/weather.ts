import { AppError } from "../core/app-error.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { readWeather, WeatherQuery } from "../reads/weather.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { readArguments } from "./read-arguments.ts";

export async function weatherCommand(args: string[]): Promise<number> {
  const { values, positionals } = readArguments({
    args,
    allowPositionals: true,
    options: { from: { type: "string" }, to: { type: "string" }, json: { type: "boolean" } },
  });
  const [stationId, ...more] = positionals;
  if (!stationId || more.length > 0)
    throw new AppError("wrong_use", { message: "weather needs one station: weather STATION --from T --to T" });
  const query = WeatherQuery.safeParse(values);
  if (!query.success) {
    const issue = query.error.issues[0];
    throw new AppError("wrong_use", { message: `--${issue?.path.join(".")}: ${issue?.message}` });
  }
  await readyDatabase();
  const document = await readWeather(LOCAL_ACTOR, stationId, query.data);
  if (values.json) process.stdout.write(`${JSON.stringify(document)}\n`);
  else {
    const show = (value: number | null, digits: number) => (value === null ? "?" : value.toFixed(digits)).padStart(7);
    process.stdout.write("hour that ends          mm rain    °C   dew °C   m/s thunder wet\n");
    for (const h of document.hours) {
      const flags = `${h.thunder === null ? "?" : h.thunder ? "yes" : "no"}`.padStart(6);
      const wet = h.wet === null ? "?" : h.wet ? "wet" : "dry";
      process.stdout.write(
        `${h.observed_at.slice(0, 16)}Z ${show(h.precipitation_mm, 2)} ${show(h.temperature_c, 1)} ${show(h.dew_point_c, 1)} ${show(h.wind_m_s, 1)} ${flags} ${wet}\n`,
      );
    }
    const { totals } = document;
    process.stdout.write(
      `${totals.precipitation_mm} mm in ${totals.known_hours} known hours; ${totals.unknown_hours} hours unknown\n`,
    );
  }
  return 0;
}
