import type { RoadLeg } from "../dispatch/routes/plan-input.ts";
import type { Sql } from "./transaction.ts";

/** One way by road as it is stored. */
export interface TravelTime {
  from: string;
  to: string;
  minutes: number;
  km: number | null;
  positions: string | null;
}

const BATCH = 5_000;

/** Store ways; one that is there already is replaced. */
export async function saveTravelTimes(tx: Sql, source: "file" | "service", ways: readonly TravelTime[]): Promise<void> {
  for (let at = 0; at < ways.length; at += BATCH) {
    const part = ways.slice(at, at + BATCH);
    await tx`
      INSERT INTO travel_time (account_id, from_place, to_place, source, minutes, km, positions)
      SELECT current_account(), f, t, ${source}, m, k, p FROM unnest(${part.map((w) => w.from)}::text[],
        ${part.map((w) => w.to)}::text[], ${part.map((w) => w.minutes)}::float8[],
        ${part.map((w) => w.km) as number[]}::float8[], ${part.map((w) => w.positions) as string[]}::text[]) AS w (f, t, m, k, p)
      ON CONFLICT (account_id, from_place, to_place, source) DO UPDATE
        SET minutes = excluded.minutes, km = excluded.km, positions = excluded.positions`;
  }
}

/** Forget the ways of a file. @returns how many there were */
export async function dropTravelTimes(tx: Sql): Promise<number> {
  return (await tx`DELETE FROM travel_time WHERE account_id = current_account() AND source = 'file'`).count;
}

/** How many ways are stored, a user's own and a service's. */
export async function wayCounts(tx: Sql): Promise<{ own: number; asked: number }> {
  const [row] = await tx<{ own: number; asked: number }[]>`
    SELECT count(*) FILTER (WHERE source = 'file')::int AS own, count(*) FILTER (WHERE source = 'service')::int AS asked
    FROM travel_time WHERE account_id = current_account()`;
  return row ?? { own: 0, asked: 0 };
}

/** A place where it lies, as a service is asked for it. */
export const positionOf = (place: { latitude: number; longitude: number }): string =>
  `${place.longitude.toFixed(5)},${place.latitude.toFixed(5)}`;

/**
 * Ways between places, a file's before a service's; a service's only while both places lie where they lay.
 * @param places key to position
 * @returns null when none is stored
 */
export async function storedWays(
  tx: Sql,
  places: ReadonlyMap<string, string>,
): Promise<((from: string, to: string) => RoadLeg | null) | null> {
  const keys = [...places.keys()];
  const rows = await tx<
    { f: string; t: string; source: string; minutes: number; km: number | null; p: string | null }[]
  >`
    SELECT from_place AS f, to_place AS t, source, minutes, km, positions AS p FROM travel_time
    WHERE account_id = current_account() AND from_place = ANY(${keys}) AND to_place = ANY(${keys})
    ORDER BY source DESC`;
  if (rows.length === 0) return null;
  const ways = new Map<string, RoadLeg>();
  // Service before file in this order, so that a file's way is the one that stays.
  for (const { f, t, source, minutes, km, p } of rows) {
    if (source === "service" && p !== `${places.get(f)};${places.get(t)}`) continue;
    ways.set(`${f}\n${t}`, { minutes, km });
  }
  return (from, to) => ways.get(`${from}\n${to}`) ?? null;
}
