import { parseArgs } from "node:util";
import { seededRng } from "../../lib/core/random.ts";
import { benjaminiHochberg, FEWEST_ONSETS } from "../../lib/correlate/benjamini-hochberg.ts";
import { correlateSite } from "../../lib/correlate/correlate-site.ts";
import type { SiteCorrelation } from "../../lib/correlate/site-correlation.ts";
import { clockPart } from "./clock-part.ts";
import type { StudyOptions } from "./study-options.ts";
import { shareByCluster, table } from "./study-table.ts";
import { makeFaults, makeSky, type Nature, type Sky, siteInput } from "./world.ts";

/** Worlds in which weather does nothing, from the mildest to the one that fools a count most. */
export const NULLS: Record<string, Nature> = {
  calm: { perYear: 15 },
  chatter: { perYear: 15, chatter: 10 },
  "+ season": { perYear: 15, chatter: 10, season: 0.8 },
  "+ season + diurnal": { perYear: 15, chatter: 10, season: 0.8, diurnal: 1 },
  "+ bursts (sd 0.8)": { perYear: 15, chatter: 10, season: 0.8, diurnal: 1, bursts: 0.8 },
  "+ bursts (sd 1.3)": { perYear: 15, chatter: 10, season: 0.8, diurnal: 1, bursts: 1.3 },
};

export const CORRELATION_PARTS = ["nulls", "fdr", "coverage", "drivers", "clock"] as const;

const PARTS: Record<(typeof CORRELATION_PARTS)[number], (o: StudyOptions) => void> = {
  nulls,
  fdr,
  coverage,
  drivers,
  clock: clockPart,
};

/** `--part P --seed S --sites N`: what the tests, intervals, drivers and clocks of the correlation promise. */
export function studyCorrelation(args: readonly string[]): void {
  const { values } = parseArgs({
    args: [...args],
    options: { part: { type: "string" }, seed: { type: "string", default: "1" }, sites: { type: "string" } },
  });
  const sites = values.sites === undefined ? null : Number(values.sites);
  if (sites !== null && !(Number.isInteger(sites) && sites >= 20))
    throw new RangeError("--sites requires a whole number of 20 or more");
  const parts = CORRELATION_PARTS.filter((part) => values.part === undefined || values.part === part);
  if (parts.length === 0) throw new RangeError(`--part is one of ${CORRELATION_PARTS.join(", ")}`);
  for (const part of parts) PARTS[part]({ seed: values.seed, sites, print: console.log });
}

export function skies(seed: string, count: number, years: number): Sky[] {
  return Array.from({ length: count }, (_, i) => makeSky(`${seed}/sky-${i}`, years));
}

/** Score one site of a nature under a sky, the way the product does. */
export function studySite(sky: Sky, nature: Nature, seed: string): SiteCorrelation {
  return correlateSite(siteInput(sky, makeFaults(sky, nature, seededRng(seed))));
}

/** False alarms at a nominal 5 % in each null, standard errors clustered by sky. */
function nulls({ seed, sites, print }: StudyOptions): void {
  const n = sites ?? 10_000;
  const weather = skies(`${seed}/nulls`, Math.min(100, n), 2);
  const rows = Object.entries(NULLS).map(([name, nature]) => {
    const alarms: { cluster: number; hit: boolean }[] = [];
    let episodes = 0;
    for (let i = 0; i < n; i++) {
      const cluster = i % weather.length;
      const { weather: w } = studySite(weather[cluster] as Sky, nature, `${seed}/nulls/${name}/${i}`);
      episodes += w.wetEpisodes + w.dryEpisodes;
      alarms.push({ cluster, hit: (w.pValue ?? 1) <= 0.05 });
    }
    return [name, (episodes / n).toFixed(1), ...percent(shareByCluster(alarms))];
  });
  print(`\nFalse alarms at nominal 5 %, ${n} sites a row on ${weather.length} skies of 2 years`);
  print(table(["null", "episodes a site", "p <= 0.05, %", "s.e. by sky"], rows));
}

const percent = ({ share, error }: { share: number; error: number }) => [
  (100 * share).toFixed(2),
  (100 * error).toFixed(2),
];

const WET_BANDS = [4, 8, 10, 12, 15, 20, 30, 1000] as const;
const FLEETS = 20;

/** Worlds of the fleets: as in the nulls, without and with runs of onsets. */
const FLEET_WORLDS: Record<string, Omit<Nature, "perYear">> = {
  "season, time of day, chatter": { chatter: 10, season: 0.8, diurnal: 1 },
  "the same with bursts (sd 0.8)": { chatter: 10, season: 0.8, diurnal: 1, bursts: 0.8 },
};

interface FleetSite {
  real: boolean;
  wet: number;
  onsets: number;
  p: number | null;
}

/** Twenty fleets in which a fifth of the sites trip five times as often when wet: discoveries at q <= 0.05. */
function fdr({ seed, sites, print }: StudyOptions): void {
  const n = sites ?? 500;
  const weather = skies(`${seed}/fdr`, 40, 3);
  for (const [name, world] of Object.entries(FLEET_WORLDS)) {
    const rates = { fdr: [] as number[], power: [] as number[] };
    const bands = WET_BANDS.slice(1).map(() => ({ found: 0, all: 0 }));
    for (let f = 0; f < FLEETS; f++) {
      const fleet = Array.from({ length: n }, (_, i) =>
        fleetSite(weather[(f * 7 + i) % weather.length] as Sky, world, i % 5 === 0, `${seed}/fdr/${name}/${f}/${i}`),
      );
      const found = discoveries(fleet);
      const real = fleet.filter((s) => s.real);
      rates.fdr.push(found.size > 0 ? [...found].filter((s) => !s.real).length / found.size : 0);
      rates.power.push(real.filter((s) => found.has(s)).length / real.length);
      countBands(bands, real, found);
    }
    print(`\n${FLEETS} fleets of ${n} sites, 3 years, ${name}; a fifth with ratio 5 when wet; q <= 0.05`);
    const means = [
      ["false discoveries", ...percent(meanOf(rates.fdr))],
      ["power", ...percent(meanOf(rates.power))],
    ];
    print(table(["", "mean, %", "s.e."], means));
    print(table(["wet episodes", "sites", "power, %", "s.e."], bands.map(bandRow)));
  }
}

/** Rates differ between sites: log-uniform, so that some have plenty of onsets and some hardly any. */
function fleetSite(sky: Sky, world: Omit<Nature, "perYear">, real: boolean, seed: string): FleetSite {
  const spread = 4 ** seededRng(`${seed}/rate`)();
  const nature: Nature = real
    ? { ...world, perYear: 1.2 * spread, driver: "any_wet", ratio: 5 }
    : { ...world, perYear: 2.4 * spread };
  const { weather: w } = studySite(sky, nature, seed);
  return { real, wet: w.wetEpisodes, onsets: w.wetEpisodes + w.dryEpisodes, p: w.pValue };
}

function discoveries(fleet: readonly FleetSite[]): Set<FleetSite> {
  const looked = fleet.filter((s) => s.p !== null && s.onsets >= FEWEST_ONSETS);
  const q = benjaminiHochberg(looked.map((s) => s.p as number));
  return new Set(looked.filter((_, k) => (q[k] as number) <= 0.05));
}

function countBands(bands: { found: number; all: number }[], real: readonly FleetSite[], found: Set<FleetSite>): void {
  for (const s of real) {
    const b = bands[WET_BANDS.findIndex((from, k) => s.wet >= from && s.wet < (WET_BANDS[k + 1] ?? 0))];
    if (!b) continue;
    b.all++;
    if (found.has(s)) b.found++;
  }
}

function bandRow({ found, all }: { found: number; all: number }, k: number): string[] {
  const p = found / Math.max(1, all);
  const to = (WET_BANDS[k + 1] as number) - 1;
  const name = `${WET_BANDS[k]}${to > 500 ? " or more" : ` to ${to}`}`;
  return [name, String(all), ...percent({ share: p, error: Math.sqrt((p * (1 - p)) / Math.max(1, all)) })];
}

function meanOf(values: readonly number[]): { share: number; error: number } {
  const mean = values.reduce((a, b) => a + b, 0) / values.length;
  const variance = values.reduce((a, b) => a + (b - mean) ** 2, 0) / Math.max(1, values.length - 1);
  return { share: mean, error: Math.sqrt(variance / values.length) };
}

/** How often the 95 % interval holds a true ratio of 5. */
function coverage({ seed, sites, print }: StudyOptions): void {
  const n = sites ?? 3_000;
  const weather = skies(`${seed}/coverage`, Math.min(100, n), 3);
  const rows = [0, 1, 1.6].map((bursts) => {
    const held: { cluster: number; hit: boolean }[] = [];
    const widths: number[] = [];
    for (let i = 0; i < n; i++) {
      const cluster = i % weather.length;
      const nature: Nature = { perYear: 6, driver: "any_wet", ratio: 5, bursts };
      const { weather: w } = studySite(weather[cluster] as Sky, nature, `${seed}/coverage/${bursts}/${i}`);
      if (w.low === null) continue;
      held.push({ cluster, hit: w.low <= 5 && (w.high ?? Number.POSITIVE_INFINITY) >= 5 });
      if (w.high !== null && w.low > 0) widths.push(Math.log(w.high / w.low));
    }
    widths.sort((a, b) => a - b);
    return [
      bursts.toFixed(1),
      String(held.length),
      ...percent(shareByCluster(held)),
      (widths[widths.length >> 1] ?? 0).toFixed(2),
    ];
  });
  print(`\nCoverage of the 95 % interval at a true ratio of 5, 3 years`);
  print(table(["burst sd", "intervals", "held, %", "s.e. by sky", "median log width"], rows));
}

/** Which driver is named, by the driver planted. */
function drivers({ seed, sites, print }: StudyOptions): void {
  const n = sites ?? 300;
  const weather = skies(`${seed}/drivers`, Math.min(100, n), 3);
  const planted = ["none", "rain", "dew", "any_wet", "hot", "thunder", "wind"] as const;
  const named = [...planted, "not_enough_data"] as const;
  const rows = planted.map((driver) => {
    const counts = new Map<string, number>();
    for (let i = 0; i < n; i++) {
      const nature: Nature =
        driver === "none" ? { perYear: 8 } : { perYear: 8, driver, ratio: driver === "thunder" ? 15 : 5 };
      const c = studySite(weather[i % weather.length] as Sky, nature, `${seed}/drivers/${driver}/${i}`);
      counts.set(c.weather.driver, (counts.get(c.weather.driver) ?? 0) + 1);
    }
    return [driver, ...named.map((d) => ((100 * (counts.get(d) ?? 0)) / n).toFixed(1))];
  });
  print(
    `\nDriver named (columns, % of ${n} sites) by driver planted (rows): 8 episodes a year, 3 years, ratio 5 (thunder 15)`,
  );
  print(table(["planted", ...named], rows));
}
