import { compareDrivers, type DriverPosterior } from "./drivers.ts";
import { ratioGrid } from "./fleet-shrinkage.ts";
import type { HourFrame } from "./hour-frame.ts";
import { scannedShiftTest, shiftTest } from "./shift-test.ts";
import type { SiteCorrelation, WeatherFinding } from "./site-correlation.ts";
import type { SiteHours } from "./site-hours.ts";
import type { Residuals } from "./strata.ts";
import { stratifiedRatio } from "./stratified-ratio.ts";

/** With fewer wet episodes than this no statement about water is made. */
export const FEWEST_WET_EPISODES = 4;
/** How sure a driver that has nothing to do with water must be to be named without wet episodes. */
const SURE = 0.9;
/** With fewer unit-hours at risk for each onset than this there is next to nothing to compare onsets with. */
const FEWEST_HOURS_PER_ONSET = 10;

type Found = Pick<SiteCorrelation, "weather" | "ratioGrid" | "overdispersion" | "gaps" | "notes">;

interface FindInput {
  frame: HourFrame;
  hours: SiteHours;
  /** Places in the frame of the onsets at risk. */
  onsets: readonly number[];
  /** Residuals of wet hours. */
  wet: Residuals | null;
  /** Ground-fault episodes, at risk or not. */
  episodes: number;
  hasWeather: boolean;
  clockOffsetHours: number | null;
  clockScanHours: readonly number[];
}

/** Rates wet and dry, their ratio and test, and the driver. */
export function findWeather(input: FindInput): Found {
  const { frame, hours } = input;
  const compared = input.onsets.filter((i) => frame.wet[i] !== 255);
  const weather = counts(input, compared);
  if (!input.hasWeather || weather.wetHours + weather.dryHours === 0) return unknownWeather(weather, input);
  const { wet } = input;
  if (compared.length === 0 || !wet) return tooFew(weather, 1, input.episodes);
  const test = shiftTest(compared, wet);
  const overdispersion = test.overdispersion;
  if (weather.wetHours + weather.dryHours < FEWEST_HOURS_PER_ONSET * compared.length)
    return hoursUnknown(weather, overdispersion);
  const ratio = stratifiedRatio(compared, wet, overdispersion);
  const isScanned = input.clockScanHours.length > 1;
  const pValue = isScanned ? scannedShiftTest(compared, wet, input.clockScanHours) : test.p;
  const filled = { ...weather, rateRatio: ratio.ratio, low: ratio.lower, high: ratio.upper, pValue };
  const grid = ratioGrid(compared, wet, overdispersion);
  const drivers = compareDrivers(frame, hours.tally, input.onsets, overdispersion);
  const dryNamed = drivers.best === "hot" || drivers.best === "wind";
  const sure = drivers.best !== "none" && drivers.byDriver[drivers.best] > SURE;
  if (weather.wetEpisodes < FEWEST_WET_EPISODES && !(dryNamed && sure))
    return { ...tooFew(filled, overdispersion, input.episodes), ratioGrid: grid };
  return {
    weather: { ...filled, driver: drivers.best },
    ratioGrid: grid,
    overdispersion,
    gaps: [],
    notes: notesOf(filled, overdispersion, drivers),
  };
}

function counts({ frame, hours, clockOffsetHours }: FindInput, compared: readonly number[]): WeatherFinding {
  let wetHours = 0;
  let dryHours = 0;
  const { cells } = hours.tally;
  for (let c = 0; c < cells.length; c += 2) {
    dryHours += cells[c] as number;
    wetHours += cells[c + 1] as number;
  }
  const wetEpisodes = compared.filter((i) => frame.wet[i] === 1).length;
  return {
    driver: "weather_unknown",
    rateRatio: null,
    low: null,
    high: null,
    pValue: null,
    qValue: null,
    wetHours,
    wetEpisodes,
    dryHours,
    dryEpisodes: compared.length - wetEpisodes,
    clockOffsetHours,
  };
}

function unknownWeather(weather: WeatherFinding, { hasWeather, hours, frame }: FindInput): Found {
  const seen = frame.known.includes(1);
  const says = !hasWeather
    ? "No weather station near enough, so trips could not be set against the weather."
    : !seen
      ? "The station's weather does not cover the hours of the log, so trips could not be set against it."
      : hours.comparable.includes(1)
        ? "No hour at risk has weather that can be called wet or dry."
        : "No hour with known weather has the sun up and an inverter able to trip, so there is nothing to compare.";
  // Where the weather is known and only hours at risk are lacking, it is the data that does not suffice.
  const driver = hasWeather && seen ? "not_enough_data" : "weather_unknown";
  return {
    weather: { ...weather, driver },
    ratioGrid: null,
    overdispersion: 1,
    gaps: [{ what: "weather", says }],
    notes: [],
  };
}

/** Not enough to tell, and how many more wet hours it would take at the rate seen. */
function tooFew(weather: WeatherFinding, overdispersion: number, episodes: number): Found {
  const lacking = Math.max(1, FEWEST_WET_EPISODES - weather.wetEpisodes);
  const rate = (weather.wetEpisodes + 0.5) / Math.max(1, weather.wetHours);
  const more = Math.ceil(lacking / rate / 10) * 10;
  const seen = `${weather.wetEpisodes} ground-fault episode${weather.wetEpisodes === 1 ? "" : "s"} in ${weather.wetHours} wet unit-hours at risk`;
  const would = episodes > 0 && weather.wetHours > 0 ? ` About ${more} more wet hours at the rate seen would do.` : "";
  const says = `Not enough data to tell whether water drives the trips: ${seen}, ${FEWEST_WET_EPISODES} are needed.${would}`;
  return {
    weather: { ...weather, driver: "not_enough_data" },
    ratioGrid: null,
    overdispersion,
    gaps: [{ what: "wet_episodes", says }],
    notes: [],
  };
}

function hoursUnknown(weather: WeatherFinding, overdispersion: number): Found {
  const says =
    "Not enough data to tell whether water drives the trips: most ground faults have no logged end and nothing shows when the inverter ran again, so few hours can be compared. Telemetry, or a log with ends, would do.";
  return {
    weather: { ...weather, driver: "not_enough_data" },
    ratioGrid: null,
    overdispersion,
    gaps: [{ what: "fault_ends", says }],
    notes: [],
  };
}

function notesOf(w: WeatherFinding, overdispersion: number, drivers: DriverPosterior): string[] {
  const notes: string[] = [];
  if (w.dryEpisodes > 0 && w.wetHours > 0 && w.dryHours > 0) {
    const crude = w.wetEpisodes / w.wetHours / (w.dryEpisodes / w.dryHours);
    notes.push(`The ratio is within hour of day and month; counted plainly it would be ${crude.toFixed(1)}.`);
  }
  if (overdispersion > 1.5)
    notes.push(
      `Onsets come in runs (overdispersion ${overdispersion.toFixed(1)}); the interval is widened, and may still be too narrow.`,
    );
  notes.push(
    `Driver by comparison: of none, rain, dew, any wet, hot, thunder and wind, ${drivers.best.replace("_", " ")} fits the onsets best.`,
  );
  return notes;
}
