import { HOUR_MS } from "../core/weather-series.ts";
import { stateCode } from "../weather/weather-state.ts";
import { compareDrivers, WEATHER_DRIVERS, type WeatherDriver } from "./drivers.ts";
import type { HourFrame } from "./hour-frame.ts";
import type { UnitHours } from "./hours-at-risk.ts";
import { shiftTest } from "./shift-test.ts";
import type { EpisodeInWeather, SiteCorrelation, WeatherFinding } from "./site-correlation.ts";
import { type Residuals, residuals, strataOf } from "./strata.ts";
import { stratifiedRatio } from "./stratified-ratio.ts";

/** With fewer wet episodes than this no statement about water is made. */
export const FEWEST_WET_EPISODES = 4;
/** How sure a driver that has nothing to do with water must be to be named without wet episodes. */
const SURE = 0.9;

type Found = Pick<SiteCorrelation, "weather" | "overdispersion" | "gaps" | "notes">;

/** Rates wet and dry, their ratio and test, and the driver. */
export function findWeather(input: {
  frame: HourFrame;
  hours: readonly UnitHours[];
  episodes: readonly EpisodeInWeather[];
  longitude: number;
  hasWeather: boolean;
}): Found {
  const { frame, hours } = input;
  const exposure = { wet: 0, dry: 0 };
  for (const unit of hours) {
    for (let i = 0; i < frame.hours; i++) {
      if (!unit.atRisk[i]) continue;
      if (frame.wet[i] === 1) exposure.wet++;
      else if (frame.wet[i] === 0) exposure.dry++;
    }
  }
  const onsets = input.episodes.filter((e) => e.atRisk).map((e) => hourOf(e, frame));
  const compared = onsets.filter((i) => frame.wet[i] !== 255);
  const wetEpisodes = compared.filter((i) => frame.wet[i] === 1).length;
  const dryEpisodes = compared.length - wetEpisodes;
  const weather: WeatherFinding = {
    driver: "weather_unknown",
    rateRatio: null,
    low: null,
    high: null,
    pValue: null,
    qValue: null,
    wetHours: exposure.wet,
    wetEpisodes,
    dryHours: exposure.dry,
    dryEpisodes,
    clockOffsetHours: null,
  };
  if (!input.hasWeather || exposure.wet + exposure.dry === 0) return unknownWeather(weather, input.hasWeather);
  if (compared.length === 0) return tooFew(weather, exposure, input.episodes.length);
  const counted = frame.lit.map((lit, i) => lit & (frame.known[i] as number));
  const strata = strataOf(frame.firstHour, frame.hours, input.longitude);
  const wet = residuals(frame.wet, counted, strata);
  const test = shiftTest(compared, wet);
  const ratio = stratifiedRatio(
    compared.map((i) => wet.share[i] as number),
    wetEpisodes,
    test.overdispersion,
  );
  const drivers = compareDrivers(driverResiduals(frame, counted, strata), onsets, test.overdispersion);
  const filled = { ...weather, rateRatio: ratio.ratio, low: ratio.lower, high: ratio.upper, pValue: test.p };
  const overdispersion = test.overdispersion;
  const dryNamed = drivers.best === "hot" || drivers.best === "wind";
  const named = drivers.best !== "none" && drivers.byDriver[drivers.best] > SURE;
  if (wetEpisodes < FEWEST_WET_EPISODES && !(dryNamed && named)) {
    return { ...tooFew(filled, exposure, input.episodes.length), overdispersion };
  }
  return {
    weather: { ...filled, driver: drivers.best },
    overdispersion,
    gaps: [],
    notes: notesOf(filled, exposure, overdispersion, drivers),
  };
}

function hourOf(e: EpisodeInWeather, frame: HourFrame): number {
  const i = Math.ceil(e.onset / HOUR_MS) - frame.firstHour;
  // At-risk onsets lie in a lit hour, or were moved to the lit neighbour.
  return frame.lit[i] ? i : frame.lit[i + 1] ? i + 1 : i - 1;
}

/** Indicators of the drivers: 1 on, 0 off, 255 unknown. */
function driverResiduals(frame: HourFrame, counted: Uint8Array, strata: Uint16Array): Record<WeatherDriver, Residuals> {
  const is = (...names: Parameters<typeof stateCode>[0][]) => {
    const codes = names.map(stateCode);
    return frame.state.map((s) => (s === 0 ? 255 : codes.includes(s) ? 1 : 0));
  };
  const on: Record<WeatherDriver, Uint8Array> = {
    rain: is("rain"),
    dew: is("dew"),
    any_wet: frame.wet,
    hot: is("hot"),
    thunder: is("thunder"),
    wind: is("wind"),
  };
  return Object.fromEntries(WEATHER_DRIVERS.map((d) => [d, residuals(on[d], counted, strata)])) as Record<
    WeatherDriver,
    Residuals
  >;
}

function unknownWeather(weather: WeatherFinding, hasWeather: boolean): Found {
  const says = hasWeather
    ? "The station's weather does not cover the hours of the log, so trips could not be set against it."
    : "No weather station near enough, so trips could not be set against the weather.";
  return { weather, overdispersion: 1, gaps: [{ what: "weather", says }], notes: [] };
}

/** How many more wet hours it would take, at the rate seen, to have enough wet episodes. */
function tooFew(weather: WeatherFinding, exposure: { wet: number; dry: number }, episodes: number): Found {
  const lacking = FEWEST_WET_EPISODES - weather.wetEpisodes;
  const rate = (weather.wetEpisodes + 0.5) / Math.max(1, exposure.wet);
  const more = Math.ceil(lacking / rate / 10) * 10;
  const seen = `${weather.wetEpisodes} ground-fault episode${weather.wetEpisodes === 1 ? "" : "s"} in ${exposure.wet} wet unit-hours at risk`;
  const would = episodes > 0 && exposure.wet > 0 ? ` About ${more} more wet hours at this rate would do.` : "";
  return {
    weather: { ...weather, driver: "not_enough_data" },
    overdispersion: 1,
    gaps: [
      {
        what: "wet_episodes",
        says: `Not enough data to tell whether water drives the trips: ${seen}, ${FEWEST_WET_EPISODES} are needed.${would}`,
      },
    ],
    notes: [],
  };
}

function notesOf(
  w: WeatherFinding,
  exposure: { wet: number; dry: number },
  overdispersion: number,
  drivers: ReturnType<typeof compareDrivers>,
): string[] {
  const notes: string[] = [];
  if (w.dryEpisodes > 0 && exposure.wet > 0 && exposure.dry > 0) {
    const crude = w.wetEpisodes / exposure.wet / (w.dryEpisodes / exposure.dry);
    notes.push(`The ratio is within hour of day and month; counted plainly it would be ${crude.toFixed(1)}.`);
  }
  if (overdispersion > 1.5)
    notes.push(
      `Onsets come in runs (overdispersion ${overdispersion.toFixed(1)}); the interval is widened, and may still be too narrow.`,
    );
  const share = drivers.best === "none" ? drivers.none : drivers.byDriver[drivers.best];
  notes.push(
    `Driver by comparison: ${drivers.best.replace("_", " ")}, probability ${share.toFixed(2)} among none, rain, dew, any wet, hot, thunder, wind.`,
  );
  return notes;
}
