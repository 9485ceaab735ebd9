import { type RouteInstance, type Routes, routeValue } from "./route-instance.ts";
import { timeRoute } from "./route-times.ts";
import type { Column, PackingModel } from "./set-packing.ts";

/** All routes met, each once by crew-day and stops, in the order in which they came. */
export class RoutePool {
  readonly columns: Column[] = [];
  private readonly at = new Map<string, number>();
  private readonly instance: RouteInstance;
  private sent = 0;
  /** Crew-days of the same base, by crew-day: a route of one is often one of the others too. */
  private readonly sisters: readonly (readonly number[])[];

  constructor(instance: RouteInstance) {
    this.instance = instance;
    const { crewDays } = instance;
    this.sisters = crewDays.map((day, at) =>
      crewDays.flatMap((other, k) =>
        k !== at && other.startPlace === day.startPlace && other.endPlace === day.endPlace ? [k] : [],
      ),
    );
  }

  /** Takes a route in, or a cheaper order of stops already known. @returns its index; null for an empty one */
  add(day: number, stops: readonly number[]): number | null {
    if (stops.length === 0) return null;
    const value = routeValue(this.instance, day, stops);
    const key = `${day}:${[...stops].sort((a, b) => a - b).join(",")}`;
    const known = this.at.get(key);
    if (known !== undefined && (this.columns[known] as Column).value >= value - 1e-9) return known;
    if (known !== undefined && known >= this.sent) {
      this.columns[known] = { value, day, stops: [...stops] };
      return known;
    }
    this.at.set(key, this.columns.length);
    this.columns.push({ value, day, stops: [...stops] });
    return this.columns.length - 1;
  }

  /** The same, and on the crew's other days where the route can be driven and would gain at the prices. */
  addOnSisters(day: number, stops: readonly number[], prices: readonly number[], floors: readonly number[]): void {
    for (const other of this.sisters[day] as readonly number[]) {
      if (stops.some((index) => !this.instance.stops[index]?.offers[other])) continue;
      const gain = stops.reduce((total, index) => total - (prices[index] as number), 0);
      if (gain + routeValue(this.instance, other, stops) <= (floors[other] as number) + 1e-9) continue;
      if (timeRoute(this.instance, other, [...stops])) this.add(other, stops);
    }
  }

  /** Hands the columns that the model has not seen to it. */
  sendTo(model: PackingModel): void {
    if (this.sent < this.columns.length) model.add(this.columns.slice(this.sent));
    this.sent = this.columns.length;
  }

  /** Columns of the routes of a plan. */
  indicesOf(routes: Routes): number[] {
    return routes.flatMap((stops, day) => {
      const at = this.add(day, stops);
      return at === null ? [] : [at];
    });
  }

  /** The chosen columns as routes, or null when they do not keep the rules of the choice. */
  routesOf(chosen: readonly number[], must: ReadonlySet<number>): Routes | null {
    const routes: (readonly number[])[] = this.instance.crewDays.map(() => []);
    const seen = new Set<number>();
    for (const at of chosen) {
      const column = this.columns[at];
      if (!column || (routes[column.day] as readonly number[]).length > 0) return null;
      for (const stop of column.stops) {
        if (seen.has(stop)) return null;
        seen.add(stop);
      }
      routes[column.day] = column.stops;
    }
    return [...must].every((index) => seen.has(index)) ? routes : null;
  }
}
