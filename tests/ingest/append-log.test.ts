import { describe, expect, test } from "vitest";
import { specByName } from "../../lib/ingest/identify.ts";
import { type FileCounts, importFile } from "../../lib/ingest/import-file.ts";
import { accountRecords } from "../../lib/ingest/known-records.ts";
import { makeFaultMonths } from "../../lib/ingest/merge.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, type Sql, systemTransaction } from "../../lib/store/transaction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();

const HEADER = ["site_id", "inverter_id", "started_at", "code"];
const AT_ONCE = 100;
const ROWS = 1000;
const spec = specByName("faults.csv");
const rowAt = (minute: number) => `S1,I1,${new Date(minute * 60_000).toISOString().slice(0, 19)}Z,1\n`;
const FIRST = Date.UTC(2024, 4, 30) / 60_000;
const minutes = Array.from({ length: ROWS }, (_, i) => FIRST + 10 * i);

interface Run {
  counts: FileCounts;
  events: string[];
  /** How often the file was read from its beginning. */
  readings: number;
  /** Faults that others saw while it ran. */
  seen: number[];
}

/** What is sent and answered on a transaction, in order. Of a COPY only that it was sent: looking at it would begin it. */
function watched(tx: Sql, events: string[]): Sql {
  return new Proxy(tx, {
    get(target, name) {
      if (name === "savepoint")
        return (work: (inner: Sql) => unknown) => target.savepoint((inner) => work(watched(inner, events)));
      if (name !== "unsafe") return Reflect.get(target, name);
      return (...given: Parameters<Sql["unsafe"]>) => {
        const query = target.unsafe(...given);
        const what = /^\s*(COPY|TRUNCATE|INSERT INTO fault|DELETE)/.exec(given[0])?.[1];
        if (what) events.push(what);
        if (what?.startsWith("INSERT"))
          query.then(
            () => events.push("inserted"),
            () => events.push("refused"),
          );
        return query;
      };
    },
  });
}

const stored = () =>
  readTransaction(
    LOCAL_ACTOR,
    async (tx) => (await tx<{ n: number }[]>`SELECT count(*)::int AS n FROM fault`)[0]?.n ?? -1,
  );

async function run(lines: readonly string[]): Promise<Run> {
  if (!spec) throw new Error("no faults.csv");
  const events: string[] = [];
  const seen: number[] = [];
  let readings = 0;
  const counts = await systemTransaction(LOCAL_ACTOR, async (tx) =>
    importFile(watched(tx, events), {
      ...{ spec, header: HEADER, known: await accountRecords(tx), defaults: {}, rowsAtOnce: AT_ONCE },
      batches: () => {
        throw new Error("read from its bytes");
      },
      bytes: async function* () {
        readings++;
        yield Buffer.from(`${HEADER.join(",")}\n`);
        for (let i = 0; i < lines.length; i += AT_ONCE) {
          events.push("read");
          if (i === ROWS / 2) seen.push(await stored());
          yield Buffer.from(lines.slice(i, i + AT_ONCE).join(""));
        }
      },
      makeMonths: (months) => systemTransaction(LOCAL_ACTOR, (own) => makeFaultMonths(own, months)),
      setAside: async () => {},
      onRows: () => {},
      onMerge: () => {},
    }),
  );
  return { counts, events, readings, seen };
}

const clear = () => systemTransaction(LOCAL_ACTOR, (tx) => tx`WITH f AS (DELETE FROM fault) DELETE FROM inverter_log`);
const revision = () =>
  readTransaction(LOCAL_ACTOR, async (tx) =>
    Number((await tx`SELECT revision FROM site WHERE site_id = 'S1'`)[0]?.revision),
  );

describe("rows of a log", () => {
  test("that are all new are stored chunk by chunk while the file is read on, once each, and nobody sees half of them", async () => {
    await importPaths(LOCAL_ACTOR, [dropFolder(BASE_DROP)]);
    const before = await revision();
    const { counts, events, readings, seen } = await run(minutes.map(rowAt));
    expect(counts).toMatchObject({ rows: ROWS, accepted: ROWS, unchanged: 0, setAside: 0 });
    expect(readings).toBe(1);
    expect(seen).toEqual([0]);
    expect(await stored()).toBe(ROWS);
    expect(await revision()).toBe(before + 1);
    const sent = (what: string) => events.filter((e) => e === what).length;
    for (const what of ["COPY", "INSERT INTO fault", "inserted", "TRUNCATE"])
      expect(sent(what), what).toBe(ROWS / AT_ONCE);
    // The next rows are read after a chunk was sent and before the server said that it has it.
    const answers = events.flatMap((e, i) => (e === "inserted" ? [i] : []));
    for (const answer of answers.slice(0, -1)) {
      const copied = events.lastIndexOf("COPY", answer);
      expect(events.slice(copied, answer), `before answer ${answer}`).toContain("read");
    }
  });

  test("of which some may be stored already are merged: the file is read once more, and only what is new is accepted", async () => {
    const { counts, events, readings } = await run([...minutes.slice(-50), (minutes.at(-1) ?? 0) + 10].map(rowAt));
    expect(counts).toMatchObject({ rows: 51, accepted: 1, unchanged: 50 });
    expect(readings).toBe(2);
    expect(events).not.toContain("INSERT INTO fault");
    expect(await stored()).toBe(ROWS + 1);
  });

  test("with a key twice, chunks apart, leave the later one, as a merge does", async () => {
    await clear();
    const twice = [...minutes.map(rowAt), rowAt(minutes[10] ?? 0)];
    const { counts, events, readings } = await run(twice);
    expect(counts).toMatchObject({ rows: ROWS + 1, accepted: ROWS, unchanged: 1 });
    expect(counts.notes).toContain("1 row has the key of a later row; the later one counts");
    expect(events).toContain("refused");
    expect(readings).toBe(2);
    expect(await stored()).toBe(ROWS);
  });

  test("of new months wait for nobody who is writing faults", async () => {
    await clear();
    await systemTransaction(LOCAL_ACTOR, async (tx) => {
      await tx`SELECT ensure_fault_month('2024-05-01')`;
    });
    await systemTransaction(LOCAL_ACTOR, async (tx) => {
      await tx`INSERT INTO fault (account_id, site_id, inverter_id, started_at, code) VALUES (current_account(), 'S1', 'I2', '2024-05-02Z', '1')`;
      const march = Date.UTC(2023, 2, 1) / 60_000;
      const { counts, readings } = await run([rowAt(march), rowAt(march + 50_000)]);
      expect(counts.accepted).toBe(2);
      expect(readings).toBe(1);
    });
    const parts = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx<{ t: string }[]>`SELECT DISTINCT tableoid::regclass::text AS t FROM fault ORDER BY 1`,
    );
    expect(parts.map(({ t }) => t)).toEqual(["fault_202303", "fault_202304", "fault_202405"]);
  });
});
