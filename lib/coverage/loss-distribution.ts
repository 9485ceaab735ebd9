import { BATCH_CAUSES, type LossModel } from "./loss-model.ts";
import type { LossParameters } from "./loss-parameters.ts";
import { severeShares } from "./loss-parts.ts";
import { type DrawnYears, drawnYears, LossSimulation } from "./loss-simulation.ts";
import {
  type Change,
  changeOf,
  type Estimate,
  exceedanceCurve,
  pairMean,
  TAIL_LEVELS,
  type TailFigures,
  tailFigures,
  tailYears,
} from "./loss-tail.ts";

/** Level of the shortfall that is split among sites. */
export const CONTRIBUTION_LEVEL = 0.975;

/** The coming year of a book, or of the whole account (book null), as drawn; account currency, net of recoveries. */
export interface BookDistribution {
  book: string | null;
  sites: number;
  gross: Estimate;
  net: Estimate;
  tail: TailFigures[];
  curve: { probability: number; loss: number }[];
  /** What the same draws come to with the alternative; null without one. */
  change: Change | null;
}

/** How likely so many sites of a batch share a defect. */
export interface SerialDefect {
  batch: string;
  sites: number;
  /** Sites from which the batch counts as serially defective. */
  least: number;
  probability: Estimate;
  /** Expected sites with a defect. */
  expected: number;
}

export interface LossDistribution {
  years: number;
  seed: string;
  books: BookDistribution[];
  whole: BookDistribution;
  serial: SerialDefect[];
  /** By site in the order of the model: its part of the shortfall of its book, and of the account; each sums to it. */
  partOfBook: Float64Array;
  partOfWhole: Float64Array;
}

/** Site-years drawn between two chances to stop. */
const STEP_SITE_YEARS = 400_000;

/**
 * Draw the distribution step by step. Each step yields how far it is, so that whoever runs it can show progress, stop,
 * and let other work through; the return value is the result.
 * @throws RangeError for an odd number of years or fewer than 400
 */
export function* distributionSteps(
  model: LossModel,
  { seed, years, params }: { seed: string; years: number; params: Pick<LossParameters, "serialShare" | "serialLeast"> },
): Generator<{ done: number; total: number }, LossDistribution> {
  if (!Number.isInteger(years / 2) || years < 400)
    throw new RangeError(`distributionSteps requires an even number of at least 400 years, got ${years}`);
  const drawn = drawnYears(model, years);
  const simulation = new LossSimulation(model, seed);
  const step = Math.max(2, Math.floor(STEP_SITE_YEARS / Math.max(1, model.sites.length)));
  // The worst years are drawn a second time for what each site had in them.
  const total = Math.ceil(years * 1.1);
  for (let from = 0; from < years; from += step) {
    const to = Math.min(years, from + step);
    simulation.run(drawn, from, to);
    yield { done: to, total };
  }
  const parts = yield* contributions(model, simulation, drawn, step, total);
  return {
    years,
    seed,
    books: model.books.map((book, b) => bookOf(model, drawn, book, b)),
    whole: bookOf(model, drawn, null, -1),
    serial: serialDefects(model, drawn, params),
    ...parts,
  };
}

/** The same in one go. */
export function lossDistribution(...asked: Parameters<typeof distributionSteps>): LossDistribution {
  const steps = distributionSteps(...asked);
  for (;;) {
    const next = steps.next();
    if (next.done) return next.value;
  }
}

function bookOf(model: LossModel, drawn: DrawnYears, book: string | null, b: number): BookDistribution {
  const net = book === null ? drawn.net : (drawn.netByBook[b] as Float64Array);
  const gross = book === null ? drawn.gross : (drawn.grossByBook[b] as Float64Array);
  const then = book === null ? drawn.netThen : (drawn.netThenByBook[b] as Float64Array);
  return {
    book,
    sites: book === null ? model.sites.length : model.bookOf.filter((x) => x === b).length,
    gross: pairMean(gross),
    net: pairMean(net),
    tail: TAIL_LEVELS.map((level) => tailFigures(net, level)),
    curve: exceedanceCurve(net),
    change: model.then ? changeOf(net, then) : null,
  };
}

function* contributions(
  model: LossModel,
  simulation: LossSimulation,
  drawn: DrawnYears,
  step: number,
  total: number,
): Generator<{ done: number; total: number }, { partOfBook: Float64Array; partOfWhole: Float64Array }> {
  const n = model.sites.length;
  const partOfBook = new Float64Array(n);
  const partOfWhole = new Float64Array(n);
  const weights = new Map<number, Map<number, number>>();
  const note = (values: Float64Array, b: number) => {
    for (const { year, weight } of tailYears(values, CONTRIBUTION_LEVEL))
      weights.set(year, (weights.get(year) ?? new Map()).set(b, weight));
  };
  note(drawn.net, -1);
  for (const [b, values] of drawn.netByBook.entries()) note(values, b);
  const ordinary = new Float64Array(n);
  const severe = new Float64Array(n);
  const severeOfBooks = new Float64Array(model.books.length);
  let severeOfWhole = 0;
  let count = 0;
  for (const [year, byBook] of weights) {
    simulation.sitesOf(year, ordinary, severe);
    const ofWhole = byBook.get(-1) ?? 0;
    for (let i = 0; i < n; i++) {
      const b = model.bookOf[i] as number;
      const ofBook = byBook.get(b) ?? 0;
      partOfBook[i] = (partOfBook[i] as number) + ofBook * (ordinary[i] as number);
      partOfWhole[i] = (partOfWhole[i] as number) + ofWhole * (ordinary[i] as number);
      severeOfBooks[b] = (severeOfBooks[b] as number) + ofBook * (severe[i] as number);
      severeOfWhole += ofWhole * (severe[i] as number);
    }
    if (++count % step === 0)
      yield { done: drawn.years + Math.floor(((total - drawn.years) * count) / weights.size), total };
  }
  const all = Array.from({ length: n }, (_, i) => i);
  spread(partOfWhole, severeOfWhole, all, severeShares(model, all, drawn.net, CONTRIBUTION_LEVEL));
  for (const [b, values] of drawn.netByBook.entries()) {
    const own = all.filter((i) => model.bookOf[i] === b);
    spread(partOfBook, severeOfBooks[b] as number, own, severeShares(model, own, values, CONTRIBUTION_LEVEL));
  }
  return { partOfBook, partOfWhole };
}

function spread(parts: Float64Array, sum: number, sites: readonly number[], shares: Float64Array): void {
  for (const [k, i] of sites.entries()) parts[i] = (parts[i] as number) + sum * (shares[k] as number);
}

/** Sites of a batch from which a contract is likely to speak of a serial defect. */
export function serialLeast(sites: number, params: Pick<LossParameters, "serialShare" | "serialLeast">): number {
  return Math.max(params.serialLeast, Math.ceil(params.serialShare * sites - 1e-9));
}

/** Probability that the hardware of a site does not bond. */
function batchDefect(model: LossModel, site: number): number {
  const { severities } = model.sites[site] as LossModel["sites"][number];
  return 1 - severities.reduce((none, s) => none * (BATCH_CAUSES.includes(s.cause) ? 1 - s.probability : 1), 1);
}

function serialDefects(
  model: LossModel,
  drawn: DrawnYears,
  params: Pick<LossParameters, "serialShare" | "serialLeast">,
): SerialDefect[] {
  const { batch, batchNames } = model.groups;
  return batchNames.map((name, h) => {
    const defects = drawn.defectsByBatch[h] as Uint16Array;
    let sites = 0;
    let expected = 0;
    for (let i = 0; i < batch.length; i++)
      if (batch[i] === h) {
        sites++;
        expected += batchDefect(model, i);
      }
    const least = serialLeast(sites, params);
    return {
      batch: name,
      sites,
      least,
      probability: pairMean(Float64Array.from(defects, (d) => (d >= least ? 1 : 0))),
      expected,
    };
  });
}
