import "server-only";
import { setTimeout as sleep } from "node:timers/promises";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise, may } from "../core/permissions.ts";
import { lossInputHash } from "../jobs/loss-inputs.ts";
import { openLossRunIfDue } from "../jobs/loss-run.ts";
import { wakeLoss } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import * as store from "../store/loss-runs.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import { staleAtLast } from "../store/scoring-state.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { EXPOSURE_CAUTIONS, type ExposureDocument, type ExposureSite } from "./exposure-document.ts";
import { BooksResult, SiteLossDetail, WhatIfAsked, WhatIfResult } from "./exposure-stored.ts";
import type { ExposureRun, ExposureSiteView, ExposureView, WhatIfView } from "./exposure-view.ts";
import { lossRunAbout } from "./loss-run-about.ts";
import { storedScores } from "./score.ts";
import { whenFresh } from "./when-fresh.ts";

export const ExposureQuery = z.object({ book: z.string().max(200).optional() });
export type ExposureQuery = z.infer<typeof ExposureQuery>;

const MOST_SITES = 500;
const LONGEST_WAIT_MS = 50_000;
const iso = (at: number | null) => (at === null ? null : new Date(at).toISOString());

async function accountCurrency(tx: Sql): Promise<string> {
  const [row] = await tx<{ currency: string }[]>`SELECT currency FROM account WHERE account_id = current_account()`;
  return row?.currency ?? "USD";
}

const siteLine = (s: store.LossSite): ExposureSite => ({
  site_id: s.siteId,
  name: s.name,
  book: s.book,
  bonding_defect: s.bonding,
  expected_gross: s.gross,
  expected_recovered: s.recovered,
  expected_net: { value: s.net, low: s.netLow, high: s.netHigh },
  part_of_book: s.partOfBook,
  part_of_whole: s.partOfWhole,
});

/** The document over what was computed last; empty books before the first run. */
async function exposureDocument(tx: Sql, { book }: ExposureQuery): Promise<ExposureDocument> {
  const run = await store.finishedLossRun(tx);
  const result = run ? BooksResult.parse(run.result) : null;
  if (book !== undefined && result && !result.books.some((b) => b.book === book))
    throw new AppError("not_found", { message: `There is no book "${book}".` });
  return {
    as_of: iso(run?.asOf ?? null),
    computed_at: iso(run?.finishedAt ?? null),
    stale: run !== null && run.inputHash !== (await lossInputHash(tx)),
    currency: result?.currency ?? (await accountCurrency(tx)),
    years: result?.years ?? null,
    seed: run?.seed ?? null,
    parameter_version: run?.parameterVersion ?? null,
    whole: result?.whole ?? null,
    books: result?.books.filter((b) => book === undefined || b.book === book) ?? [],
    serial: result?.serial ?? [],
    sites: run ? (await store.lossSites(tx, run.runId, book ?? null, MOST_SITES)).map(siteLine) : [],
    remarks: result?.remarks ?? [],
    cautions: [...EXPOSURE_CAUTIONS],
  };
}

export async function readExposure(actor: Actor, query: ExposureQuery): Promise<ExposureDocument> {
  authorise(actor, "exposure.read");
  return readTransaction(actor, (tx) => exposureDocument(tx, query));
}

/**
 * The same over HTTP: waits for the worker to bring scores and losses up to date. A run that a person stopped is not
 * started again; the document then says that it is stale.
 * @throws AppError `busy` when it takes longer than a request should
 */
export async function readExposureWhenFresh(actor: Actor, query: ExposureQuery): Promise<ExposureDocument> {
  authorise(actor, "exposure.read");
  await whenFresh(actor);
  const started = Date.now();
  for (let asked = false; await openLossRunIfDue(actor); asked = true) {
    if (!asked) await wakeLoss(actor.accountId);
    if (Date.now() - started > LONGEST_WAIT_MS)
      throw new AppError("busy", {
        message: "The losses of the coming year are being drawn. Try again in a little while.",
      });
    await sleep(250);
  }
  return readExposure(actor, query);
}

async function otherCurrencies(tx: Sql): Promise<ExposureView["currencies"]> {
  const rows = await tx<ExposureView["currencies"]>`
    WITH used AS (
      SELECT currency, count(*)::int AS sites, 0 AS contracts FROM site
      WHERE account_id = current_account() AND currency IS NOT NULL GROUP BY 1
      UNION ALL
      SELECT currency, 0, count(*)::int FROM coverage WHERE account_id = current_account() AND currency IS NOT NULL GROUP BY 1
      UNION ALL
      SELECT currency, 0, 0 FROM account_rate WHERE account_id = current_account()
    )
    SELECT u.currency, (SELECT r.rate FROM account_rate r WHERE r.account_id = current_account() AND r.currency = u.currency) AS rate,
      sum(u.sites)::int AS sites, sum(u.contracts)::int AS contracts
    FROM used u WHERE u.currency <> (SELECT currency FROM account WHERE account_id = current_account())
    GROUP BY 1 ORDER BY 1`;
  return rows.map((row) => ({ ...row }));
}

const runView = (run: store.LossRun): ExposureRun => ({
  runId: run.runId,
  status: run.status,
  requestedBy: run.requestedBy,
  requestedAt: new Date(run.requestedAt).toISOString(),
  finishedAt: iso(run.finishedAt),
  done: run.done,
  total: run.total,
  says: run.says,
});

/** The document, how the newest run stands, and what a what-if can be asked about. */
export async function readExposureView(actor: Actor, query: ExposureQuery): Promise<ExposureView> {
  authorise(actor, "exposure.read");
  return readTransaction(actor, async (tx) => {
    const newest = await store.newestLossRun(tx, "books");
    const installers = await tx<{ installer: string; sites: number }[]>`
      SELECT installer, count(*)::int AS sites FROM site
      WHERE account_id = current_account() AND installer IS NOT NULL ${query.book === undefined ? tx`` : tx`AND portfolio = ${query.book}`}
      GROUP BY 1 ORDER BY 1`;
    return {
      document: await exposureDocument(tx, query),
      run: newest && runView(newest),
      staleSites: await staleAtLast(tx),
      installers: installers.map((row) => ({ ...row })),
      currencies: await otherCurrencies(tx),
      assumptions: (await currentParameters(tx)).rows
        .filter((row) => row.key.startsWith("loss."))
        .map(({ key, value, unit, provenance }) => ({ key: key.slice(5), value, unit, source: provenance.source })),
    };
  });
}

/** How the newest run over the books stands. */
export async function readLossRun(actor: Actor): Promise<{ run: ExposureRun | null }> {
  authorise(actor, "exposure.read");
  return readTransaction(actor, async (tx) => {
    const newest = await store.newestLossRun(tx, "books");
    return { run: newest && runView(newest) };
  });
}

/**
 * One site: loss by cause, what recovers, what is missing.
 * @returns null before it has been part of a run
 */
export async function readExposureSite(actor: Actor, siteId: string): Promise<ExposureSiteView | null> {
  authorise(actor, "sites.read");
  const about = await lossRunAbout(actor.accountId);
  if (!about) return null;
  return readTransaction(actor, async (tx) => {
    const found = await store.lossSite(tx, about.runId, siteId);
    if (!found) return null;
    // Sums over more sites than somebody sees are not theirs to know.
    const shortfallOf = (book: string | null) =>
      (book === null ? about.result.whole : about.result.books.find((b) => b.book === book))?.tail.find(
        (t) => t.level === 0.975,
      )?.expected_shortfall.value;
    return {
      site: siteLine(found),
      detail: SiteLossDetail.parse(found.detail),
      currency: about.result.currency,
      asOf: about.asOf,
      stale: about.stale,
      parameterVersion: about.parameterVersion,
      shortfallOfBook: may(actor, "books.read") ? (shortfallOf(found.book) ?? null) : null,
      shortfallOfWhole: may(actor, "exposure.read") ? (shortfallOf(null) ?? null) : null,
      cautions: [...EXPOSURE_CAUTIONS],
      causeBands: (await storedScores(tx, siteId))[0]?.cause_bands ?? null,
    };
  });
}

/** The site as which another one counts, where it is on record twice; null: it is not. */
export async function readCountedAs(actor: Actor, siteId: string): Promise<string | null> {
  authorise(actor, "sites.read");
  return readTransaction(actor, async (tx) => {
    const seen = await tx`SELECT 1 FROM site WHERE account_id = current_account() AND site_id = ${siteId}`;
    if (seen.length === 0) return null;
    const about = await lossRunAbout(actor.accountId);
    return about?.result.countedAs.find((c) => c.siteId === siteId)?.countedAs ?? null;
  });
}

/**
 * How a what-if stands, with its answer once it has one.
 * @throws AppError `not_found` for an unknown run
 */
export async function readWhatIfRun(actor: Actor, runId: string): Promise<WhatIfView> {
  authorise(actor, "exposure.read");
  return readTransaction(actor, async (tx) => {
    const run = await store.lossRun(tx, runId);
    if (run?.kind !== "what_if")
      throw new AppError("not_found", { message: "There is no such what-if any more. Ask again." });
    return {
      run: runView(run),
      asked: WhatIfAsked.parse(run.asked),
      result: run.status === "done" ? WhatIfResult.parse(run.result) : null,
    };
  });
}
