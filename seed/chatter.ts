import { normalDeviate, type Rng, seededRng } from "../lib/core/random.ts";
import { type DemoFault, siteFaults } from "./failures.ts";
import { iso } from "./site-cells.ts";
import { HOUR } from "./sky.ts";
import type { Cells } from "./visits-made.ts";
import type { DemoSite, DemoWorld } from "./world.ts";

const MINUTE = 60_000;
/** Alarms that an inverter logs for reasons of the grid and the heat; more of them than of anything else. */
const OTHER = ["GRID_DISCONNECT", "AC_OVER_VOLT", "AC_UNDER_VOLT", "OVER_FREQUENCY", "OVER_TEMP"] as const;
const CODE: Record<string, { sunspec: string; field: string }> = {
  GROUND_FAULT: { sunspec: "1", field: "E214" },
  GRID_DISCONNECT: { sunspec: "16", field: "E301" },
  OVER_TEMP: { sunspec: "128", field: "E410" },
  OVER_FREQUENCY: { sunspec: "256", field: "E305" },
  AC_OVER_VOLT: { sunspec: "1024", field: "E302" },
  AC_UNDER_VOLT: { sunspec: "2048", field: "E303" },
};

export const CHATTER_CODES: readonly Cells[] = Object.entries(CODE).map(([event, { field }]) => ({
  code_system: "field_codes",
  code: field,
  event,
  ...(event === "GROUND_FAULT" ? { detector: "insulation_check" } : {}),
}));

/** One site in twelve logs nothing at all, one in twenty floods its log. */
const SILENT = 0.08;
const NOISY = 0.05;
/** Rows a year: median of the others, spread of its logarithm, and median of the noisy. */
const ROWS_A_YEAR = { median: 48, spread: 1, noisy: 800 };

/**
 * Log rows of a site as large fleets have them: the onsets that its defect and its weather give, each as a burst of
 * alarms, among far more alarms of the grid and the heat, which come in bursts too. Onsets stay where they were: a burst
 * lies inside its episode.
 */
export function* chatterCells(world: DemoWorld, site: DemoSite): Iterable<Cells> {
  const rng = seededRng(`${world.options.seed}/chatter/${site.siteId}`);
  const kind = rng();
  if (kind < SILENT) return;
  const isNoisy = kind < SILENT + NOISY;
  const years = world.options.days / 365.2422;
  const median = isNoisy ? ROWS_A_YEAR.noisy : ROWS_A_YEAR.median;
  const wanted = Math.round(median * years * Math.exp((isNoisy ? 0.3 : ROWS_A_YEAR.spread) * normalDeviate(rng)));
  const rows = siteFaults(world, site).flatMap((row) => retries(row, isNoisy ? 12 : 3, rng));
  while (rows.length < wanted) rows.push(...burst(world, site, rng));
  rows.sort((a, b) => a.start - b.start);
  const seen = new Set<string>();
  for (const row of rows) {
    const key = `${row.inverterId}/${row.start}/${row.event}`;
    if (seen.has(key)) continue;
    seen.add(key);
    yield cellsOf(site, row);
  }
}

/** A relay that tries again and again: the span of one alarm as several, the last with its end. */
function retries(row: DemoFault, most: number, rng: Rng): DemoFault[] {
  if (row.end === null || row.event !== "GROUND_FAULT") return [row];
  const room = Math.floor((row.end - row.start) / (2 * MINUTE));
  const count = Math.max(1, Math.min(room, Math.floor(-most * Math.log(1 - rng()))));
  const step = Math.floor((row.end - row.start) / count / 1000) * 1000;
  return Array.from({ length: count }, (_, k) => {
    const start = row.start + k * step;
    return { ...row, start, end: k === count - 1 ? row.end : start + Math.max(1000, step - MINUTE) };
  });
}

/** Alarms of one kind within some hours, at a time when the sun is up. */
function burst(world: DemoWorld, site: DemoSite, rng: Rng): DemoFault[] {
  const { sky } = site;
  let hour = Math.floor(rng() * (sky.sunDeg.length - 12));
  while ((sky.sunDeg[hour] as number) < 3 && hour < sky.sunDeg.length - 12) hour++;
  const event = OTHER[Math.floor(rng() * OTHER.length)] as string;
  const inverterId = site.inverters[Math.floor(rng() * site.inverters.length)] as string;
  const out: DemoFault[] = [];
  const count = 1 + Math.floor(-8 * Math.log(1 - rng()));
  let at = sky.firstEnd + hour * HOUR + Math.floor(rng() * 3600) * 1000;
  for (let k = 0; k < count; k++) {
    const end = at + (30 + Math.floor(rng() * 600)) * 1000;
    if (end >= world.end) break;
    out.push({ inverterId, start: at, end, event, resetBy: "auto", closedAs: "other" });
    at = end + (20 + Math.floor(rng() * 900)) * 1000;
  }
  return out;
}

function cellsOf(site: DemoSite, row: DemoFault): Cells {
  const code = CODE[row.event] as (typeof CODE)[string];
  return {
    site_id: site.siteId,
    inverter_id: row.inverterId,
    started_at: iso(row.start),
    ended_at: row.end === null ? "" : iso(row.end),
    code: site.codeSystem === "field_codes" ? code.field : code.sunspec,
    reset_by: row.resetBy,
    closed_as: row.closedAs,
  };
}
