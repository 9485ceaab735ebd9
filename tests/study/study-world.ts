import { type Rng, seededRng } from "../../lib/core/random.ts";
import { unknownSeries, type WeatherSeries } from "../../lib/core/weather-series.ts";
import { correlateSite } from "../../lib/correlate/correlate-site.ts";
import type { DiagnoseInput } from "../../lib/diagnose/diagnose-input.ts";
import { DEFAULT_PARAMETERS, drawValues, type ParameterTable } from "../../lib/diagnose/parameters.ts";
import { wetness } from "../../lib/weather/wetness.ts";
import { HOUR, makeSkies, type StationSky } from "../../seed/sky.ts";
import { type Nature, type StudySite, studySite } from "./study-site.ts";

/** A site with what the product's own reading of log and weather made of it. */
export interface StudyCase extends StudySite {
  input: DiagnoseInput;
  /** The table that made its world: what a fully informed analyst would use. */
  truth: ParameterTable;
}

const STATIONS = [
  { stationId: "W1", name: "West", latitude: 36.2, longitude: -96.4, elevationM: 250 },
  { stationId: "W2", name: "Middle", latitude: 39.1, longitude: -90.2, elevationM: 180 },
  { stationId: "W3", name: "East", latitude: 41.9, longitude: -84.6, elevationM: 260 },
];
const DAYS = 1095;
const FROM = Date.UTC(2023, 0, 1);
/** Sites that share one set of true numbers; many small worlds, because the numbers differ between worlds, not sites. */
const SITES_A_WORLD = 25;

const within = (rng: Rng, low: number, high: number) => low + (high - low) * rng();

/** Departures from the model's form, a set a world. */
function drawNature(rng: Rng): Nature {
  return {
    frailtyShape: within(rng, 1, 2.5),
    burst: within(rng, 0.1, 0.5),
    unwritten: within(rng, 0.05, 0.3),
    unlogged: within(rng, 0, 0.08),
    silence: within(rng, 0, 1),
    dryMiss: within(rng, 0.15, 0.45),
    inspected: within(rng, 0.4, 0.65),
    checksDone: within(rng, 0.45, 0.85),
  };
}

interface Sky {
  sky: StationSky;
  weather: { series: WeatherSeries; wetness: ReturnType<typeof wetness>["wetness"] };
}

function skies(seed: string): Sky[] {
  return makeSkies(`study/${seed}`, STATIONS, FROM + HOUR, DAYS * 24).map((sky) => {
    const series = unknownSeries(sky.station.stationId, Math.round(sky.firstEnd / HOUR), sky.rainMm.length);
    for (let h = 0; h < series.hours; h++) {
      if (sky.missing[h]) continue;
      series.precipitationMm[h] = sky.rainMm[h] as number;
      series.temperatureC[h] = sky.temperatureC[h] as number;
      series.dewPointC[h] = sky.dewPointC[h] as number;
      series.windMs[h] = sky.windMs[h] as number;
      series.thunder[h] = sky.thunder[h] as 0 | 1;
    }
    return { sky, weather: { series, wetness: wetness(series, sky.station).wetness } };
  });
}

/** Sites of perturbed worlds: every number of the table drawn anew for each world, and its nature too. */
export function studyCases(seed: string, sites: number, sitesAWorld = SITES_A_WORLD): StudyCase[] {
  const own = skies(seed);
  const out: StudyCase[] = [];
  for (let world = 0; out.length < sites; world++) {
    const rng = seededRng(`study/${seed}/world/${world}`);
    const values = drawValues(DEFAULT_PARAMETERS, rng);
    const truth = {
      version: `world-${world}`,
      rows: DEFAULT_PARAMETERS.rows.map((r) => ({ ...r, value: values.get(r.key) as number })),
    };
    const nature = drawNature(rng);
    for (let i = 0; i < sitesAWorld && out.length < sites; i++) {
      const siteRng = seededRng(`study/${seed}/world/${world}/${i}`);
      const under = own[Math.floor(siteRng() * own.length)] as Sky;
      const made = studySite(`W${world}-${i}`, under.sky, values, nature, siteRng);
      out.push({ ...made, truth, input: read(made, under) });
    }
  }
  return out;
}

function read({ records }: StudySite, { weather, sky }: Sky): DiagnoseInput {
  const asOf = FROM + DAYS * 24 * HOUR;
  const logWindows = new Map(records.inverters.map((v) => [v.inverterId, { from: FROM, to: asOf }]));
  const where = { latitude: sky.station.latitude, longitude: sky.station.longitude };
  return {
    records,
    asOf,
    correlation: correlateSite({ records, meanings: new Map(), weather, where, logWindows, asOf }),
  };
}
