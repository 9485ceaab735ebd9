import { readFileSync } from "node:fs";
import path from "node:path";
import type { RouteProblem } from "../../lib/dispatch/routes/route-problem.ts";

interface Point {
  x: number;
  y: number;
  score: number;
  ready: number;
  due: number;
  service: number;
}

/** Published instance as it is checked: points, and the routes' distances reckoned anew. */
export interface Orienteering {
  problem: RouteProblem;
  /** Score of routes given as lists of stops; throws when one breaks a rule. */
  recheck: (routes: readonly (readonly number[])[]) => number;
}

const DATA = path.resolve(import.meta.dirname, "..", "data", "routing");

/** A team orienteering instance of Chao, Golden and Wasil. */
export function readChao(file: string, folder = path.join(DATA, "chao")): Orienteering {
  const lines = readFileSync(path.join(folder, file), "utf8").trim().split(/\r?\n/);
  const value = (i: number) => Number(lines[i]?.trim().split(/\s+/)[1]);
  const limit = value(2);
  const points = lines.slice(3).map((line) => {
    const [x, y, score] = line.trim().split(/\s+/).map(Number) as [number, number, number];
    return { x, y, score, ready: 0, due: limit, service: 0 };
  });
  if (points.length !== value(0)) throw new Error(`${file}: not as many points as it says`);
  const [start, ...rest] = points as [Point, ...Point[]];
  const end = rest.pop() as Point;
  return orienteering(rest, { start, end, vehicles: value(1), limit, distance: euclid });
}

/** Best score known of each Chao instance in the folder. */
export function bestKnown(folder = path.join(DATA, "chao")): Map<string, number> {
  const lines = readFileSync(path.join(folder, "best-known.txt"), "utf8").trim().split(/\r?\n/);
  return new Map(
    lines.map((line) => line.trim().split(/\s+/) as [string, string]).map(([file, n]) => [file, Number(n)]),
  );
}

/** A Solomon instance as team orienteering: demand is the score. */
export function readSolomon(name: string, vehicles: number): Orienteering {
  const lines = readFileSync(path.join(DATA, "solomon", `${name}.txt`), "utf8").split(/\r?\n/);
  const rows = lines.map((line) => line.trim().split(/\s+/).map(Number)).filter((row) => row.length === 7);
  const points = rows.map(([, x, y, score, ready, due, service]) => ({ x, y, score, ready, due, service }) as Point);
  if (points.length !== 101) throw new Error(`${name}: not 101 points`);
  const [depot, ...customers] = points as [Point, ...Point[]];
  return orienteering(customers, { start: depot, end: depot, vehicles, limit: depot.due, distance: truncated });
}

const euclid = (a: Point, b: Point) => Math.hypot(a.x - b.x, a.y - b.y);
const truncated = (a: Point, b: Point) => Math.floor(euclid(a, b) * 10 + 1e-9) / 10;

interface Frame {
  start: Point;
  end: Point;
  vehicles: number;
  limit: number;
  distance: (a: Point, b: Point) => number;
}

function orienteering(stops: Point[], { start, end, vehicles, limit, distance }: Frame): Orienteering {
  const all = [...stops, start, end];
  const nodes = all.length;
  const minutes = Float64Array.from({ length: nodes * nodes }, (_, i) =>
    distance(all[Math.floor(i / nodes)] as Point, all[i % nodes] as Point),
  );
  const days = vehicles;
  const free = new Float64Array(nodes * nodes);
  const recheck = (routes: readonly (readonly number[])[]) => {
    const seen = new Set<number>();
    if (routes.length > vehicles) throw new Error("more routes than vehicles");
    let score = 0;
    for (const route of routes) {
      let [at, time] = [start, 0];
      for (const index of route) {
        const stop = stops[index] as Point;
        if (seen.has(index)) throw new Error(`stop ${index} twice`);
        seen.add(index);
        time = Math.max(time + distance(at, stop), stop.ready);
        if (time > stop.due + 1e-6) throw new Error(`stop ${index} too late`);
        time += stop.service;
        score += stop.score;
        at = stop;
      }
      if (time + distance(at, end) > limit + 1e-6) throw new Error("back too late");
    }
    return score;
  };
  return {
    recheck,
    problem: {
      ...{ stops: stops.length, days, nodes, minutes },
      arcCost: Array.from({ length: days }, () => free),
      startNode: new Int32Array(days).fill(stops.length),
      endNode: new Int32Array(days).fill(stops.length + 1),
      from: new Float64Array(days),
      to: new Float64Array(days).fill(limit),
      service: Float64Array.from(stops, (stop) => stop.service),
      profit: Float64Array.from(
        { length: stops.length * days },
        (_, i) => (stops[Math.floor(i / days)] as Point).score,
      ),
      spans: Array.from({ length: stops.length * days }, (_, i) => {
        const stop = stops[Math.floor(i / days)] as Point;
        return [stop.ready, stop.due + stop.service];
      }),
    },
  };
}
