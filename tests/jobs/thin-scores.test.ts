import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterEach, beforeAll, expect, test } from "vitest";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { keepScores, thinScores } from "../../lib/jobs/thin-scores.ts";
import { LOCAL_ACTOR, systemActor } from "../../lib/store/actor.ts";
import { statedBefore } from "../../lib/store/confirmed-records.ts";
import { readTransaction, systemTransaction, writeTransaction } from "../../lib/store/transaction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const DAY = 86_400_000;
const NOW = Date.UTC(2026, 10, 28);
const DAYS = 500;
const thin = () => thinScores(database(), LOCAL_ACTOR.accountId, NOW);
/** Noon of a day so long ago. */
const ago = (days: number) => new Date(NOW - days * DAY + DAY / 2);

interface Kept {
  site_id: string;
  input_hash: string;
  computed_at: Date;
}
const scores = () =>
  readTransaction(LOCAL_ACTOR, async (tx) => [
    ...(await tx<Kept[]>`SELECT site_id, input_hash, computed_at FROM score ORDER BY site_id, computed_at`),
  ]);
const daysOf = (rows: readonly Kept[], siteId: string) =>
  rows.flatMap((row) => (row.site_id === siteId && /^day/.test(row.input_hash) ? Number(row.input_hash.slice(3)) : []));

/** A score a day and site for DAYS days, all alike, besides the one that stands. */
const daily = () =>
  systemTransaction(LOCAL_ACTOR, async (tx) => {
    await tx`DELETE FROM score WHERE input_hash LIKE 'day%'`;
    await tx`INSERT INTO score (account_id, site_id, input_hash, computed_at, as_of, site_revision, parameter_version, code_version,
        bonding_p, bonding_low, bonding_high, energized_p, result, learning_basis, urgency)
      SELECT c.account_id, c.site_id, 'day' || d, ${ago(0)}::timestamptz - d * interval '1 day', ${ago(0)}::timestamptz - d * interval '1 day',
        0, c.parameter_version, c.code_version, c.bonding_p, c.bonding_low, c.bonding_high, c.energized_p, c.result, c.learning_basis, c.urgency
      FROM score c JOIN standing st USING (account_id, site_id, input_hash), generate_series(1, ${DAYS}) d`;
  });

beforeAll(async () => {
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-thin-"));
  for (const [name, text] of Object.entries(BASE_DROP)) writeFileSync(path.join(folder, name), text);
  await importPaths(LOCAL_ACTOR, [folder]);
  rmSync(folder, { recursive: true });
  await refreshScores(LOCAL_ACTOR, { now: NOW });
});
afterEach(() => {
  delete process.env.RAINTRIP_KEEP_SCORES;
});

/** Which of the daily scores stay by age alone: worked out here from the calendar, not by the program. */
function byAge(): number[] {
  const week = (at: number) => Math.floor((at / DAY + 3) / 7);
  const month = (at: number) => new Date(at).toISOString().slice(0, 7);
  const last = (of: (at: number) => unknown) => {
    const seen = new Set<unknown>();
    return new Set(
      Array.from({ length: DAYS }, (_, i) => i + 1).filter((d) => {
        const key = of(ago(d).getTime());
        if (seen.has(key)) return false;
        seen.add(key);
        return true;
      }),
    );
  };
  const [weeks, months] = [last(week), last(month)];
  return Array.from({ length: DAYS }, (_, i) => i + 1).filter(
    (d) =>
      ago(d).getTime() >= NOW - 90 * DAY ||
      months.has(d) ||
      (weeks.has(d) && ago(d).getTime() >= NOW - 365 * DAY) ||
      d === DAYS,
  );
}

test("of old scores the last of a week and then of a month stay, with the first and those of the last days; it is audited, and done twice it takes nothing more", async () => {
  await daily();
  const [site] = (await scores()).map((row) => row.site_id);
  const before = (await scores()).length;
  const gone = await thin();
  const after = await scores();
  expect(before - after.length).toBe(gone);
  // Days that records of the drop itself name stay too; all others are as the calendar has them.
  const [expected, days] = [byAge(), daysOf(after, site as string)];
  expect(days.filter((d) => !expected.includes(d)).length).toBeLessThan(6);
  expect(expected.filter((d) => !days.includes(d))).toEqual([]);
  expect(days.length).toBeLessThan(170);
  expect(await thin()).toBe(0);
  const audited = await readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ detail: { removed: number } }[]>`SELECT detail FROM audit_entry WHERE action = 'score.thin'`,
  );
  expect(audited.map((row) => row.detail.removed)).toEqual([gone]);
});

test("a score that an inspection, a repair, a person's act or an alert rests on stays, and a forecast reads as before", async () => {
  const [site] = (await scores()).map((row) => row.site_id);
  const id = site as string;
  await importPaths(LOCAL_ACTOR, [
    dropFolder({
      "inspections.csv": `site_id,inspected_at,check,outcome\n${id},${ago(211).toISOString()},bond_resistance,fail\n`,
    }),
  ]);
  await refreshScores(LOCAL_ACTOR, { now: NOW });
  await daily();
  // A person's act names the site in its words only; an alert of the program by its subject.
  await writeTransaction(LOCAL_ACTOR, async () => ({
    result: null,
    note: { action: "sites.act", subject: "3 sites", detail: { siteIds: [id] } },
  }));
  const { sql } = database();
  await sql.begin(async (tx) => {
    await tx`SELECT set_config('raintrip.account', ${String(LOCAL_ACTOR.accountId)}, true), set_config('raintrip.role', 'system', true)`;
    await tx`INSERT INTO outbox_alert (account_id, kind, subject, detail, raised_at) VALUES (${LOCAL_ACTOR.accountId}, 'make_safe', ${id}, '{}', ${ago(260)})`;
  });
  const visit = { siteId: id, at: ago(211).getTime() };
  const stated = () => readTransaction(LOCAL_ACTOR, (tx) => statedBefore(tx, [visit]));
  const forecast = await stated();
  expect(forecast.size).toBe(1);
  await thin();
  expect(await stated()).toEqual(forecast);
  const days = daysOf(await scores(), id);
  // The day of the inspection: what stood then, and what its forecast is read from, the day before.
  expect(days).toEqual(expect.arrayContaining([211, 212, 260]));
  // The act was today: the newest stays in any case.
  const standing = await readTransaction(
    systemActor(LOCAL_ACTOR.accountId),
    (tx) => tx`SELECT 1 FROM standing st JOIN score USING (account_id, site_id, input_hash)`,
  );
  expect(standing).toHaveLength(new Set((await scores()).map((row) => row.site_id)).size);
});

test("both sides of a change of urgency and of crossing the suspicion stay", async () => {
  await daily();
  const [site] = (await scores()).map((row) => row.site_id);
  const id = site as string;
  await systemTransaction(LOCAL_ACTOR, async (tx) => {
    await tx`UPDATE score SET urgency = 'make_safe' WHERE site_id = ${id} AND input_hash = ANY(${[451, 450, 449].map((d) => `day${d}`)})`;
    await tx`UPDATE score SET bonding_p = 0.1 WHERE site_id = ${id} AND input_hash LIKE 'day%'`;
    await tx`UPDATE score SET bonding_p = 0.9 WHERE site_id = ${id} AND input_hash LIKE 'day%' AND substr(input_hash, 4)::int < 418`;
  });
  await thin();
  const days = daysOf(await scores(), id);
  expect(days).toEqual(expect.arrayContaining([452, 451, 449, 448, 418, 417]));
  expect(days).not.toContain(450);
});

test("all are kept where the operator says so, and what is no such setting is refused with what to write", async () => {
  await daily();
  const before = await scores();
  process.env.RAINTRIP_KEEP_SCORES = "all";
  expect(await thin()).toBe(0);
  expect(await scores()).toEqual(before);
  for (const wrong of ["ninety", "90", "365,90", "0,10", "90,365,9"])
    expect(() => keepScores(NOW, wrong), wrong).toThrow(/write all, or two numbers of days/);
  expect(keepScores(NOW, "30,60")?.everyFrom).toEqual(new Date(NOW - 30 * DAY));
});
