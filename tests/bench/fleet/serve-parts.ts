import { setTimeout as sleep } from "node:timers/promises";
import { gzipSync } from "node:zlib";
import { largeFleetSpan } from "../../../seed/large-fleet.ts";
import { Serving } from "../../long/serving.ts";
import { scriptsOf } from "../../support/page-scripts.ts";
import { coreSecondsOf, type Figure, median, quantile, type Repeat } from "../measure.ts";
import { dataOf, type MadeFleet } from "./made-fleet.ts";

const WARM_UPS = 5;
const REQUESTS = 40;
const EMPTY = "/access/tokens";
const SORTS = ["rank", "probability", "energized", "name", "inspected", "rate_ratio"];

/** Pages of a built server without a worker beside it: those of the fleet against one with nothing on it. */
export async function pageFigures(fleet: MadeFleet): Promise<Figure[]> {
  const serving = new Serving({}, dataOf(fleet), ["--no-worker"]);
  await serving.start();
  try {
    const ask = async (at: string) => {
      const reply = await serving.fetch(at);
      if (!reply.ok) throw new Error(`${at}: ${reply.status}`);
      return reply.text();
    };
    const page = async (name: string, addresses: readonly string[]): Promise<Figure> => {
      for (let i = 0; i < WARM_UPS; i++) await ask(addresses[i % addresses.length] as string);
      const core = () => coreSecondsOf(serving.pid) + coreSecondsOf(fleet.server);
      const before = core();
      const seconds: number[] = [];
      for (let i = 0; i < REQUESTS; i++) {
        const at = performance.now();
        await ask(addresses[i % addresses.length] as string);
        seconds.push((performance.now() - at) / 1000);
      }
      const each = (core() - before) / REQUESTS;
      return {
        name,
        repeats: seconds.map((s): Repeat => ({ seconds: s, core: each })),
        says: `p95 ${(1000 * quantile(seconds, 0.95)).toFixed(0)} ms of ${REQUESTS} requests`,
      };
    };
    const empty = await page("page with nothing on it", [EMPTY]);
    const filtered = SORTS.flatMap((sort) =>
      ["asc", "desc"].map((order) => `/sites?sort=${sort}&order=${order}&urgency=watch&search=a`),
    );
    const list = await page("ranked sites, every order, filtered", filtered);
    const plain = await page(
      "ranked sites, every order",
      SORTS.map((sort) => `/sites?sort=${sort}`),
    );
    const books = await page("books", ["/books"]);
    const contracts = await page("contracts and deadlines", ["/coverage"]);
    const site = await page("page of a site", ["/sites/S00001", "/sites/S00003"]);
    const p95 = (f: Figure) =>
      quantile(
        f.repeats.map((r) => r.seconds),
        0.95,
      );
    for (const f of [list, plain, books, contracts, site]) {
      f.against = empty.name;
      f.says += `, ${(p95(f) / p95(empty)).toFixed(1)} times the empty page's`;
      f.aim = f === list || f === plain ? "3 or less (p95)" : "";
    }
    return [empty, list, plain, books, contracts, { ...site, says: `${site.says}; ${await sizes(ask, fleet)}` }];
  } finally {
    await serving.stop();
  }
}

/** Bytes that the pages bring: script of the list, data of a site over the whole span. */
async function sizes(ask: (at: string) => Promise<string>, fleet: MadeFleet): Promise<string> {
  const html = await ask("/sites");
  const script = await scriptsOf(html, ask);
  const rows = [...html.matchAll(/data-site="/g)].length;
  const { start, end } = largeFleetSpan(fleet.options);
  const span = `from=${new Date(start).toISOString()}&to=${new Date(end).toISOString()}`;
  const [noisy] = await fleet.admin<{ site_id: string; n: number }[]>`
    SELECT site_id, jsonb_array_length(detail->'episodes') AS n FROM site_detail ORDER BY n DESC LIMIT 1`;
  const timeline = await ask(`/api/pages/sites/${noisy?.site_id}/timeline?${span}`);
  const marks = (JSON.parse(timeline) as { faults: unknown[] }).faults.length;
  const siteHtml = await ask(`/sites/${noisy?.site_id}`);
  const kb = (n: number) => `${(n / 1000).toFixed(0)} kB`;
  return [
    `script of the list ${kb(script.bytes)} gzip in ${script.files} files (200 kB or less)`,
    `${rows} rows in the list's page`,
    `site with the most episodes: timeline of ${fleet.options.years} years ${kb(timeline.length)} plain (300 kB or less), ${marks} marks of ${noisy?.n} episodes`,
    `its page ${kb(siteHtml.length)} plain, ${kb(gzipSync(siteHtml).length)} gzip`,
  ].join("; ");
}

/**
 * One new fault row, sent to the API, until an open page shows the score it changed, and until the API's exact score has it. With
 * `inFlight` the whole fleet waits for new scores at the same time, so that a long round is in the way.
 */
export async function faultFigures(fleet: MadeFleet, repeats: number, inFlight: boolean): Promise<Figure[]> {
  const serving = new Serving({}, dataOf(fleet));
  await serving.start();
  try {
    const core = () => coreSecondsOf(serving.pid) + coreSecondsOf(fleet.server);
    const json = async (at: string) => (await serving.fetch(at)).json() as Promise<Record<string, unknown>>;
    const rowOf = async (siteId: string) => JSON.stringify((await json(`/api/pages/sites?search=${siteId}`)).rows);
    if (inFlight) await fleet.admin`UPDATE standing SET input_hash = 'old'`;
    // Whatever the start woke is left to end: the question is of a system at rest, or of one in its long round.
    else while (!(await serving.fetch("/api/v1/score?site=S00002")).ok) await sleep(200);
    if (inFlight) while (((await json("/api/pages/sites")).staleSites as number) === 0) await sleep(200);
    const shown: Repeat[] = [];
    const exact: Repeat[] = [];
    const { end } = largeFleetSpan(fleet.options);
    const steps: number[][] = [];
    for (let round = 0; round < repeats; round++) {
      // Far from the round's own beginning.
      const siteId = `S${String(fleet.options.sites - 2 - 12 * round).padStart(5, "0")}`;
      const page = await json(`/api/pages/sites?search=${siteId}`);
      const before = JSON.stringify(page.rows);
      // Hours from the rows of earlier rounds: within three of another it would be part of its episode, and change nothing to see.
      const slot = Math.floor(Date.now() / 1000) % 2000;
      const at = new Date(end - 40 * 86_400_000 - slot * 4 * 3_600_000);
      const text = `site_id,inverter_id,started_at,ended_at,code\n${siteId},INV1,${at.toISOString()},${new Date(at.getTime() + 600_000).toISOString()},1\n`;
      const form = new FormData();
      form.append("files", new Blob([text]), "faults.csv");
      const logged = await lastEntry(fleet);
      const [begun, clock, used] = [performance.now(), Date.now(), core()];
      const sent = await serving.fetch("/api/v1/imports", { method: "POST", body: form });
      if (!sent.ok) throw new Error(`${sent.status} ${await sent.text()}`);
      const accepted = Date.now();
      // As the page does it: the server answers when scores moved, and the rows are asked for then, once a second at most.
      let moves = page.moves;
      let toldAt = 0;
      for (;;) {
        const now = (await json(`/api/pages/sites/moves?after=${moves}`)).moves;
        if (now !== moves) {
          moves = now;
          toldAt = Date.now();
          if ((await rowOf(siteId)) !== before) break;
          await sleep(1000);
        }
        if (performance.now() - begun > 120_000) throw new Error(`the row of ${siteId} did not change in two minutes`);
      }
      const shownAt = Date.now();
      shown.push({ seconds: (performance.now() - begun) / 1000, core: core() - used });
      if (!inFlight) {
        const reply = await serving.fetch(`/api/v1/score?site=${siteId}`);
        exact.push({ seconds: (performance.now() - begun) / 1000, core: core() - used });
        if (!reply.ok) throw new Error(`${reply.status}`);
      }
      const seen = { accepted, told: toldAt, shown: shownAt };
      steps.push(await stepsOf(fleet, { after: logged, siteId, clock, seen }));
    }
    const name = inFlight ? "one new fault during a round over all" : "one new fault";
    return [
      {
        ...{ name: `${name} to its row on an open page`, repeats: shown, aim: "2 s" },
        says: `median ${median(shown.map((r) => r.seconds)).toFixed(2)} s; ms from sending it, medians: ${STEPS.map((step, i) => `${step} ${Math.round(median(steps.map((one) => one[i] as number)))}`).join(", ")}`,
      },
      ...(exact.length > 0 ? [{ name: `${name} to its score over the API, fleet passed over`, repeats: exact }] : []),
    ];
  } finally {
    await serving.stop();
  }
}

/** What happens to a fault, one after the other. */
const STEPS = ["accepted", "taken up", "read", "merged", "import over", "score stored", "page told", "row shown"];

const lastEntry = async ({ admin }: MadeFleet) =>
  (await admin<{ seq: number }[]>`SELECT coalesce(max(seq), 0)::float8 AS seq FROM audit_entry`)[0]?.seq ?? 0;

interface Seen {
  after: number;
  siteId: string;
  /** When it was sent, and what was seen when, epoch ms. */
  clock: number;
  seen: { accepted: number; told: number; shown: number };
}

/** When each step was done, ms since it was sent: by the log of the database and by what the page saw. */
async function stepsOf({ admin }: MadeFleet, { after, siteId, clock, seen }: Seen): Promise<number[]> {
  const rows = await admin<{ action: string; at: Date }[]>`
    SELECT action, min(at) AS at FROM audit_entry
    WHERE seq > ${after} AND (action LIKE 'import.%' OR subject LIKE ${`%${siteId}%`} OR (action = 'score.compute' AND detail->>'sites' = '1'))
    GROUP BY action`;
  const of = (action: string) => (rows.find((row) => row.action === action)?.at.getTime() ?? Number.NaN) - clock;
  const [begun] = await admin<
    { at: Date }[]
  >`SELECT started_at AS at FROM import_drop ORDER BY requested_at DESC LIMIT 1`;
  return [
    seen.accepted - clock,
    (begun?.at.getTime() ?? Number.NaN) - clock,
    of("import.start"),
    of("import.file"),
    of("import.finish"),
    of("score.compute"),
    seen.told - clock,
    seen.shown - clock,
  ];
}
