import type { Generated } from "./generate-routes.ts";
import type { PlanOptions } from "./plan-options.ts";
import { type RouteInstance, type Routes, routesValue } from "./route-instance.ts";
import type { RoutePool } from "./route-pool.ts";
import type { Column, PackingModel } from "./set-packing.ts";

export interface Choosing {
  pool: RoutePool;
  model: PackingModel;
  must: ReadonlySet<number>;
}

/** What a choice may change, and how closely it is made. */
export interface Scope {
  /** Crew-days that may change; the others keep their routes. Absent: all may. */
  days?: ReadonlySet<number>;
  /** Columns to choose among; beyond, those that cost the most at the prices are left aside. */
  most?: number;
  gap?: number;
}

/**
 * The best choice among all routes met, where it beats the routes given.
 */
export async function betterChoice(
  instance: RouteInstance,
  { pool, model, must }: Choosing,
  routes: Routes,
  options: PlanOptions & Generated,
  { days, most = Number.POSITIVE_INFINITY, gap = 1e-5 }: Scope = {},
): Promise<Routes | null> {
  const { bound, prices, stopped } = options;
  const objective = routesValue(instance, routes);
  const free = (day: number) => days?.has(day) ?? true;
  const taken = new Set(routes.flatMap((stops, day) => (free(day) ? [] : stops)));
  const start = pool.indicesOf(routes.map((stops, day) => (free(day) ? stops : [])));
  pool.sendTo(model);
  // A route whose use costs more at the prices than all that can still be won is in no better plan.
  const room = bound === null ? Number.POSITIVE_INFINITY : bound - objective + 1e-6;
  const keeps = new Set(start);
  const cost = (at: number): number => {
    const column = pool.columns[at] as Column;
    if (!prices || keeps.has(at)) return 0;
    const reduced = column.stops.reduce((total, index) => total - (prices.stops[index] as number), column.value);
    return (prices.most[column.day] as number) - reduced;
  };
  const allowed = pool.columns.flatMap((column, at) => {
    if (keeps.has(at)) return [at];
    return free(column.day) && !column.stops.some((index) => taken.has(index)) && cost(at) <= room ? [at] : [];
  });
  const among =
    allowed.length > most
      ? [...new Set([...start, ...[...allowed].sort((a, b) => cost(a) - cost(b) || a - b).slice(0, most)])]
      : allowed;
  const owed = [...must].filter((index) => !taken.has(index));
  const limits = { nodes: options.choiceNodes, gap, among, must: owed, start, ...(stopped ? { stopped } : {}) };
  const chosen = await model.choose(limits);
  const found = chosen ? pool.routesOf(chosen, new Set(owed)) : null;
  const better = found?.map((stops, day) => (free(day) ? stops : (routes[day] as readonly number[])));
  return better && routesValue(instance, better) > objective + 1e-9 ? better : null;
}
