import { expect, test, vi } from "vitest";
import { refreshScores, scoreChanged } from "../../lib/jobs/refresh-scores.ts";
import { readMoves } from "../../lib/reads/moves.ts";
import { readRankedSites } from "../../lib/reads/ranked-sites.ts";
import { RankedSitesQuery } from "../../lib/reads/ranked-sites-query.ts";
import { type Actor, LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { createImport, runImport } from "../../lib/writes/import-drop.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

vi.mock("../../lib/jobs/wake-worker.ts", () => ({ wakeScoring: async () => {}, wakeWorker: async () => {} }));
useTestDatabase();

const NOW = Date.UTC(2026, 5, 1);
const brought = async (files: Record<string, string>) => {
  const importId = await createImport(LOCAL_ACTOR, { name: "drop" });
  await runImport(LOCAL_ACTOR, importId, { folder: dropFolder(files) });
};
const fault = (siteId: string, at: string) =>
  brought({ "faults.csv": `site_id,inverter_id,started_at,code\n${siteId},I1,${at},GROUND_FAULT\n` });
const shown = async (actor: Actor) => (await readRankedSites(actor, RankedSitesQuery.parse({}))).moves;

test("an open list is told when a score that it shows moved: everybody by the scoring itself, owners of their own sites alone", async () => {
  const sites = BASE_DROP["sites.csv"].replace(/^(S2,[^,]*,)[^,]*/m, "$1Other book");
  await brought({ ...BASE_DROP, "sites.csv": sites });
  await fault("S1", "2026-01-05T15:00:00Z");
  await refreshScores(LOCAL_ACTOR, { now: NOW });
  const [{ portfolio: book } = { portfolio: "" }] = await readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ portfolio: string }[]>`SELECT portfolio FROM standing WHERE site_id = 'S1'`,
  );
  const owner = (portfolio: string): Actor => ({ ...LOCAL_ACTOR, role: "owner", portfolios: [portfolio] });
  const actors = { all: LOCAL_ACTOR, mine: owner(book), other: owner("Other book") };
  const before = { all: await shown(actors.all), mine: await shown(actors.mine), other: await shown(actors.other) };
  expect(before.mine).not.toBe(before.other);
  expect(await readMoves(actors.all)).toBe(before.all);

  const gone = new AbortController();
  const told: string[] = [];
  const asked = (name: keyof typeof actors) =>
    readMoves(actors[name], { after: before[name] }, gone.signal).then((moves) => {
      told.push(name);
      return moves;
    });
  const [all, mine, other] = [asked("all"), asked("mine"), asked("other")];
  await fault("S1", "2026-01-06T15:00:00Z");
  expect(told).toEqual([]);
  expect(await scoreChanged(LOCAL_ACTOR, { now: NOW })).toBe(1);
  expect(await all).not.toBe(before.all);
  expect(await mine).not.toBe(before.mine);
  expect(await shown(actors.mine)).toBe(await mine);
  expect(told).not.toContain("other");
  // A page that is closed is not waited for.
  gone.abort();
  expect(await other).toBe(before.other);
});
