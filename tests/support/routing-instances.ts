import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import type { RouteInstance, RouteStop } from "../../lib/dispatch/routes/route-instance.ts";

const data = path.resolve(import.meta.dirname, "../data");
const rows = (file: string) =>
  readFileSync(path.join(data, file), "utf8")
    .split(/\r?\n/)
    .map((line) => line.trim().split(/[\s;]+/));

/** Best-known score by file name. */
export function chaoBestKnown(): Map<string, number> {
  return new Map(
    rows("chao-top/best-known.txt").flatMap(([name, best]) => (name && best ? [[name, Number(best)]] : [])),
  );
}

export function chaoNames(): string[] {
  return [1, 2, 3].flatMap((set) => readdirSync(path.join(data, `chao-top/Set${set}`)).sort());
}

/** A team orienteering instance: first point is the start, last the end, Euclidean distances. */
export function chaoInstance(name: string): RouteInstance {
  const lines = rows(`chao-top/Set${name[1]}/${name}`);
  const vehicles = Number(lines[1]?.[1]);
  const limit = Number(lines[2]?.[1]);
  const points = lines
    .slice(3)
    .filter((row) => row.length >= 3)
    .map((row) => row.map(Number) as [number, number, number]);
  const travel = points.map(([x, y]) => points.map(([u, v]) => Math.hypot(x - u, y - v)));
  const last = points.length - 1;
  const stops: RouteStop[] = points.slice(1, last).map(([, , score], index) => ({
    key: String(index + 1),
    place: index + 1,
    serviceMinutes: 0,
    tier: 0,
    offers: Array.from({ length: vehicles }, () => ({ value: score, windows: [{ from: 0, to: limit }] })),
  }));
  const crewDays = Array.from({ length: vehicles }, (_, v) => ({
    key: String(v),
    startPlace: 0,
    endPlace: last,
    from: 0,
    to: limit,
  }));
  return { crewDays, stops, travel };
}

/** A Solomon file as team orienteering with time windows; the demand is the score, distances cut to one decimal. */
export function solomonInstance(name: string, vehicles: number): RouteInstance {
  const points = rows(`solomon/${name}.txt`)
    .filter((row) => row.length === 7 && row.every((cell) => /^\d/.test(cell)))
    .map((row) => row.map(Number) as [number, number, number, number, number, number, number]);
  const travel = points.map((a) =>
    points.map((b) => Math.floor(Math.hypot(a[1] - b[1], a[2] - b[2]) * 10 + 1e-9) / 10),
  );
  const depot = points[0];
  if (!depot) throw new Error(`no points in ${name}`);
  const crewDays = Array.from({ length: vehicles }, (_, v) => ({
    key: String(v),
    startPlace: 0,
    endPlace: 0,
    from: depot[4],
    to: depot[5],
  }));
  const stops: RouteStop[] = points.slice(1).map(([id, , , score, from, to, service]) => ({
    key: String(id),
    place: id,
    serviceMinutes: service,
    tier: 0,
    offers: crewDays.map(() => ({ value: score, windows: [{ from, to }] })),
  }));
  return { crewDays, stops, travel };
}
