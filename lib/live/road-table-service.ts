import { z } from "zod";
import type { LatLon } from "../core/earth.ts";
import { FeedError } from "./feed-error.ts";
import type { PoliteClient } from "./polite-client.ts";

const Row = z.array(z.number().nonnegative().nullable());
const Table = z.object({ code: z.literal("Ok"), durations: z.array(Row), distances: z.array(Row).optional() });

/** Sources and destinations of one request; public servers of this kind usually allow a hundred places. */
export const TABLE_BLOCK = 50;

/**
 * Driving times between places from a server with an OSRM-compatible table service:
 * `/table/v1/driving/{lon},{lat};…?sources=…&destinations=…&annotations=duration,distance`, seconds and metres, null
 * where there is no way. Shape: the service's published HTTP description, from memory.
 *
 * @returns minutes and km from each source to each destination; null: no way
 * @throws FeedError
 */
export async function roadTableOf(
  client: PoliteClient,
  sources: readonly LatLon[],
  destinations: readonly LatLon[],
): Promise<({ minutes: number; km: number | null } | null)[][]> {
  const place = ({ latitude, longitude }: LatLon) => `${longitude.toFixed(5)},${latitude.toFixed(5)}`;
  const numbers = (from: number, count: number) => Array.from({ length: count }, (_, k) => from + k).join(";");
  const places = [...sources, ...destinations].map(place).join(";");
  const query = `sources=${numbers(0, sources.length)}&destinations=${numbers(sources.length, destinations.length)}&annotations=duration,distance`;
  const answer = await client.get(`/table/v1/driving/${places}?${query}`);
  if (answer.kind !== "body") throw new FeedError("refused", "it has no table service at this address");
  const table = Table.safeParse(answer.json);
  const isWhole = (rows: readonly (readonly unknown[])[]) =>
    rows.length === sources.length && rows.every((row) => row.length === destinations.length);
  if (!table.success || !isWhole(table.data.durations))
    throw new FeedError("bad_answer", "the answer is no table of the places asked for");
  const { durations, distances } = table.data;
  return durations.map((row, a) =>
    row.map((seconds, b) => {
      const metres = distances?.[a]?.[b] ?? null;
      return seconds === null ? null : { minutes: seconds / 60, km: metres === null ? null : metres / 1000 };
    }),
  );
}
