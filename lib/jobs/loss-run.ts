import { setImmediate as breath } from "node:timers/promises";
import { AppError } from "../core/app-error.ts";
import { eachSiteOnce, type SiteLoss, sharedPolicies, siteLoss } from "../coverage/loss-book.ts";
import { type BookDistribution, distributionSteps, type LossDistribution } from "../coverage/loss-distribution.ts";
import { type Alternative, lossModel } from "../coverage/loss-model.ts";
import type { TailFigures } from "../coverage/loss-tail.ts";
import { expectedChange, planWhatIf } from "../coverage/loss-what-if.ts";
import { sitesTwice } from "../coverage/one-site.ts";
import { type RecoveryGains, recoveryGains } from "../coverage/recovery-gains.ts";
import { DEFAULT_DISPATCH_PARAMETERS } from "../dispatch/dispatch-parameters.ts";
import {
  type BookResult,
  type BooksResult,
  type SiteLossDetail,
  WhatIfAsked,
  type WhatIfResult,
} from "../reads/exposure-stored.ts";
import { type Actor, systemActor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import * as store from "../store/loss-runs.ts";
import { readTransaction, type Sql, systemTransaction, writeTransaction } from "../store/transaction.ts";
import { holdingLock } from "./hold-lock.ts";
import { lossLockKey } from "./import-lock.ts";
import { bookHistories } from "./loss-history.ts";
import { LOSS_CODE_VERSION, LOSS_SEED, type LossInputs, lossInputHash, readLossInputs } from "./loss-inputs.ts";

/** Progress is written this often at most. */
const SAY_EVERY_MS = 300;

/** Somebody stopped the run; what it had drawn is let go. */
class Stopped extends Error {}

/**
 * Open a run over the books when the scores have moved since the newest one, whatever became of that.
 * @returns whether one is open now
 */
export async function openLossRunIfDue(actor: Actor, db?: Database): Promise<boolean> {
  return systemTransaction(
    // Whoever asks: what is due follows from all scores of the account.
    systemActor(actor.accountId),
    async (tx) => {
      await tx`SELECT pg_advisory_xact_lock(hashtextextended('loss-run/' || current_account(), 0))`;
      const inputHash = await lossInputHash(tx);
      const newest = await store.newestLossRun(tx, "books");
      if (store.isOpenLossRun(newest)) return true;
      // A run that was stopped or failed is not started again by itself for the same scores.
      if (inputHash === null || newest?.inputHash === inputHash) return false;
      await store.addLossRun(tx, {
        kind: "books",
        asked: {},
        inputHash,
        requestedBy: systemActor(actor.accountId).person,
      });
      return true;
    },
    db,
  );
}

/**
 * Carry out the open runs of an account, oldest first, unless another process does.
 * @param options.onProgress told years drawn and to draw
 * @returns how many came to their end; null when another process has them
 */
export async function runLossRuns(
  db: Database,
  actor: Actor,
  options: { signal?: AbortSignal; waits?: boolean; onProgress?: (done: number, total: number) => void } = {},
): Promise<number | null> {
  return holdingLock(db, lossLockKey(actor.accountId), { waits: options.waits ?? false }, async () => {
    let done = 0;
    for (;;) {
      const [run] = await readTransaction(actor, store.openLossRuns, db);
      if (!run || options.signal?.aborted) return done;
      if (await carryOut(db, actor, run, options)) done++;
      else if (options.signal?.aborted) return done;
    }
  });
}

async function carryOut(
  db: Database,
  actor: Actor,
  run: store.LossRun,
  options: { signal?: AbortSignal; onProgress?: (done: number, total: number) => void },
): Promise<boolean> {
  try {
    const inputs = await readTransaction(actor, readLossInputs, db);
    if (!inputs) throw new AppError("conflict", { message: "Nothing is scored yet: import sites first." });
    const say = progress(db, actor, run.runId, options);
    return run.kind === "books"
      ? await runBooks(db, actor, run, inputs, say)
      : await runWhatIf(db, actor, run, inputs, say);
  } catch (error) {
    // Stopped with the worker: the run stays open for the next one. Stopped by a person: its row says so already.
    if (error instanceof Stopped) return false;
    const says = error instanceof AppError || error instanceof RangeError ? error.message : null;
    await systemTransaction(
      actor,
      (tx) =>
        store.endLossRun(
          tx,
          run.runId,
          "failed",
          says ?? "Something went wrong inside Raintrip; the log has the details.",
        ),
      db,
    );
    if (says === null) console.error(error);
    return true;
  }
}

type Say = (done: number, total: number) => Promise<void>;

/** Writes progress now and then, and ends the work when the row is no longer open. */
function progress(
  db: Database,
  actor: Actor,
  runId: string,
  options: { signal?: AbortSignal; onProgress?: (done: number, total: number) => void },
): Say {
  let said = 0;
  return async (done, total) => {
    // Let signals and other work through between steps.
    await breath();
    if (options.signal?.aborted) throw new Stopped();
    const now = performance.now();
    if (now - said < SAY_EVERY_MS && said > 0) return;
    said = now;
    options.onProgress?.(done, total);
    const open = await systemTransaction(actor, (tx) => store.saveLossProgress(tx, runId, done, total), db);
    if (!open) throw new Stopped();
  };
}

interface Reckoned {
  sites: (SiteLoss & { name: string; gains: RecoveryGains | null })[];
  remarks: string[];
  countedAs: { siteId: string; countedAs: string }[];
}

const identityOf = ({ records: { site, inverters } }: LossInputs["sites"][number]) => ({
  ...{ siteId: site.siteId, book: site.portfolio, latitude: site.latitude, longitude: site.longitude },
  serials: inverters.flatMap((inverter) => inverter.serial ?? []),
});

function reckon({ sites, context }: LossInputs): Reckoned {
  const each = sites.map((scored) => {
    const loss = siteLoss(scored, context);
    return { ...loss, name: scored.name, gains: recoveryGains(scored, loss, context) };
  });
  const once = eachSiteOnce(each, sitesTwice(sites.map(identityOf)));
  const remarks = [...once.says, ...sharedPolicies(once.sites.map((s) => s.draw))];
  return { sites: once.sites, remarks, countedAs: once.countedAs };
}

async function draw(
  { context }: LossInputs,
  { sites }: Reckoned,
  alternative: Alternative | null,
  say: Say,
): Promise<LossDistribution> {
  const { params } = context;
  const model = lossModel(
    sites.map((s) => s.draw),
    params,
    alternative,
  );
  const steps = distributionSteps(model, { seed: LOSS_SEED, years: params.drawnYears, params });
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
    await say(step.value.done, step.value.total);
  }
}

async function runBooks(
  db: Database,
  actor: Actor,
  run: store.LossRun,
  inputs: LossInputs,
  say: Say,
): Promise<boolean> {
  await say(0, inputs.context.params.drawnYears);
  const reckoned = reckon(inputs);
  const found = await draw(inputs, reckoned, null, say);
  const histories = await readTransaction(actor, bookHistories, db);
  const result: BooksResult = {
    currency: inputs.context.money.accountCurrency,
    years: found.years,
    books: found.books.map((book) => bookResult(book, inputs, reckoned, histories)),
    whole: bookResult(found.whole, inputs, reckoned, histories),
    serial: found.serial,
    remarks: reckoned.remarks,
    countedAs: reckoned.countedAs,
  };
  const sites = reckoned.sites.map((site, i) => siteRow(site, found.partOfBook[i] ?? 0, found.partOfWhole[i] ?? 0));
  return writeTransaction(
    actor,
    async (tx) => {
      const kept = await store.finishLossRun(tx, run.runId, stamped(inputs, result));
      if (kept) await store.replaceLossSites(tx, run.runId, sites);
      const detail = { sites: sites.length, years: found.years, parameters: inputs.parameterVersion };
      return { result: kept, note: kept ? { action: "loss.compute", subject: run.runId, detail } : null };
    },
    db,
  );
}

function stamped(inputs: LossInputs, result: unknown): store.LossResult {
  return {
    result,
    inputHash: inputs.inputHash,
    asOf: inputs.context.asOf,
    parameterVersion: inputs.parameterVersion,
    codeVersion: LOSS_CODE_VERSION,
    seed: LOSS_SEED,
  };
}

const tail = ({ level, valueAtRisk, expectedShortfall }: TailFigures) => ({
  level,
  value_at_risk: valueAtRisk,
  expected_shortfall: expectedShortfall,
});

function bookResult(
  found: BookDistribution,
  inputs: LossInputs,
  { sites }: Reckoned,
  histories: Awaited<ReturnType<typeof bookHistories>>,
): BookResult {
  const own = sites.filter((s) => found.book === null || s.draw.book === found.book);
  const ids = new Set(own.map((s) => s.draw.siteId));
  const bonding = inputs.sites.filter((s) => ids.has(s.records.site.siteId)).map((s) => s.bonding);
  const sum = <T>(list: readonly T[], of: (item: T) => number) => list.reduce((total, item) => total + of(item), 0);
  const { defects, trend } = histories.of(found.book);
  return {
    book: found.book,
    sites: found.sites,
    expected_gross: {
      value: sum(own, (s) => s.net.gross),
      low: sum(own, (s) => s.net.grossLow),
      high: sum(own, (s) => s.net.grossHigh),
    },
    expected_net: {
      value: sum(own, (s) => s.net.net),
      low: sum(own, (s) => s.net.netLow),
      high: sum(own, (s) => s.net.netHigh),
    },
    drawn_gross: found.gross,
    drawn_net: found.net,
    tail: found.tail.map(tail),
    curve: found.curve,
    proof: { missing: missingProof(own), all: sum(own, (s) => s.gains?.all ?? 0) },
    defects: {
      expected: { value: sum(bonding, (b) => b.p), low: sum(bonding, (b) => b.low), high: sum(bonding, (b) => b.high) },
      ...defects,
    },
    trend,
  };
}

/** What the sites of a book lack, summed over them, greatest worth first. */
function missingProof(sites: Reckoned["sites"]): BookResult["proof"]["missing"] {
  const found = new Map<string, BookResult["proof"]["missing"][number]>();
  for (const { gains } of sites)
    for (const { what, name, state, worth } of gains?.gains ?? []) {
      const key = `${what}/${name}/${state}`;
      const had = found.get(key) ?? { what, name, state, sites: 0, worth: 0 };
      found.set(key, { ...had, sites: had.sites + 1, worth: had.worth + worth });
    }
  return [...found.values()].sort((a, b) => b.worth - a.worth || (a.name < b.name ? -1 : 1));
}

function siteRow(site: Reckoned["sites"][number], partOfBook: number, partOfWhole: number): store.LossSiteRow {
  const { net, terms, draw: own } = site;
  const detail: SiteLossDetail = {
    byCause: net.byCause,
    contracts: terms.terms.map((term, i) => ({
      coverageId: term.coverageId,
      kind: term.kind,
      endsOn: term.endsOn,
      limit: Number.isFinite(term.limit) ? term.limit : null,
      deductible: term.deductible,
      ...term.chances,
      recovered: net.byContract[i]?.recovered ?? 0,
    })),
    proof: site.gains,
    remarks: terms.remarks,
    assumed: site.assumed,
    missing: site.missing,
    installer: own.installer,
    batch: own.batch,
  };
  const { gross, recovered, netLow, netHigh } = net;
  return {
    siteId: own.siteId,
    book: own.book,
    gross,
    recovered,
    net: net.net,
    netLow,
    netHigh,
    partOfBook,
    partOfWhole,
    detail,
  };
}

async function runWhatIf(
  db: Database,
  actor: Actor,
  run: store.LossRun,
  inputs: LossInputs,
  say: Say,
): Promise<boolean> {
  const { book, act } = WhatIfAsked.parse(run.asked);
  await say(0, inputs.context.params.drawnYears);
  const reckoned = reckon(inputs);
  const about = inputs.sites.filter((s) => book === null || s.records.site.portfolio === book);
  if (about.length === 0) throw new AppError("not_found", { message: `There is no book "${book}".` });
  const { findChance, fixChance } = DEFAULT_DISPATCH_PARAMETERS;
  const plan = planWhatIf(act, about, inputs.context, { find: findChance, fix: fixChance });
  if (plan.sites === 0)
    throw new AppError("wrong_use", { message: "None of these sites is in the book, so nothing would change." });
  const found = await draw(inputs, reckoned, plan.alternative, say);
  const own = book === null ? found.whole : found.books.find((b) => b.book === book);
  if (!own?.change) throw new RangeError("a what-if draws an alternative");
  const result: WhatIfResult = {
    currency: inputs.context.money.accountCurrency,
    years: found.years,
    change: {
      book,
      mean: own.change.mean,
      tail: own.change.tail.map(tail),
      before: { mean: own.net, tail: own.tail.map(tail) },
    },
    expected: expectedChange(
      reckoned.sites.filter((s) => book === null || s.draw.book === book),
      plan.alternative,
    ),
    sites: plan.sites,
    cost: plan.cost,
    says: plan.says,
  };
  return systemTransaction(
    actor,
    async (tx: Sql) => {
      const kept = await store.finishLossRun(tx, run.runId, stamped(inputs, result));
      await store.pruneWhatIfs(tx);
      return kept;
    },
    db,
  );
}
