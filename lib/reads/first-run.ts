import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import type { FirstRunView, FirstStep } from "./first-run-view.ts";

const Counts = z.object({
  sites: z.number(),
  inverters: z.number(),
  stations: z.number(),
  stations_with_hours: z.number(),
  sites_with_faults: z.number(),
  sites_inspected: z.number(),
  scored: z.number(),
  demo_sites: z.number(),
  demo_loading: z.number().nullable(),
  demo_came: z.boolean(),
});

const count = (n: number, one: string, many = `${one}s`) => `${n.toLocaleString("en-US")} ${n === 1 ? one : many}`;

/**
 * How far an installation is on the way to its first ranking, from its own records. Fault logs are looked for through the
 * first and last rows that are kept of each inverter, so the size of the logs does not matter.
 */
export async function readFirstRun(actor: Actor): Promise<FirstRunView> {
  authorise(actor, "imports.read");
  const counts = await readTransaction(actor, async (tx) => {
    const [row] = await tx`SELECT
      (SELECT count(*)::int FROM site WHERE account_id = current_account()) AS sites,
      (SELECT count(*)::int FROM inverter WHERE account_id = current_account()) AS inverters,
      (SELECT count(*)::int FROM station WHERE account_id = current_account()) AS stations,
      (SELECT count(*)::int FROM station s WHERE account_id = current_account()
        AND EXISTS (SELECT 1 FROM weather_month w WHERE w.account_id = s.account_id AND w.station_id = s.station_id)) AS stations_with_hours,
      (SELECT count(DISTINCT site_id)::int FROM inverter_log WHERE account_id = current_account()) AS sites_with_faults,
      (SELECT count(*)::int FROM site s WHERE account_id = current_account()
        AND EXISTS (SELECT 1 FROM inspection i WHERE i.account_id = s.account_id AND i.site_id = s.site_id)) AS sites_inspected,
      (SELECT count(*)::int FROM standing WHERE account_id = current_account()) AS scored,
      (SELECT count(*)::int FROM demo_mark WHERE account_id = current_account() AND kind = 'site') AS demo_sites,
      (SELECT coalesce(sum(f.bytes_read)::float8 / nullif(sum(f.bytes_total), 0), 0) FROM import_drop d
        LEFT JOIN import_file f USING (account_id, import_id) WHERE d.account_id = current_account()
        AND d.name = 'Demo fleet (invented)' AND d.status IN ('waiting', 'running') GROUP BY d.import_id LIMIT 1) AS demo_loading,
      EXISTS (SELECT 1 FROM import_drop WHERE account_id = current_account() AND name = 'Demo fleet (invented)' AND status = 'done') AS demo_came`;
    return Counts.parse(row);
  });
  const steps = stepsOf(counts);
  return {
    sites: counts.sites,
    steps,
    next: steps.find((step) => !step.done)?.key ?? null,
    demo: {
      sites: counts.demo_sites,
      loading: counts.demo_loading,
      unmarked: counts.demo_came && counts.demo_sites === 0 && counts.sites > 0,
    },
  };
}

function stepsOf(c: z.infer<typeof Counts>): FirstStep[] {
  const of = (n: number) => `${n.toLocaleString("en-US")} of ${count(c.sites, "site")}`;
  return [
    {
      key: "sites",
      done: c.sites > 0 && c.inverters > 0,
      says: c.sites === 0 ? "None yet." : `${count(c.sites, "site")}, ${count(c.inverters, "inverter")}.`,
    },
    {
      key: "weather",
      done: c.stations_with_hours > 0,
      says:
        c.stations === 0
          ? "No station yet; without weather the answer is not known, never dry."
          : `${count(c.stations, "station")}, ${c.stations_with_hours.toLocaleString("en-US")} with hours.`,
    },
    {
      key: "faults",
      done: c.sites_with_faults > 0,
      says: c.sites_with_faults === 0 ? "No log yet." : `A log of ${of(c.sites_with_faults)}.`,
    },
    {
      key: "inspections",
      done: c.sites_inspected > 0,
      says:
        c.sites_inspected === 0
          ? "None yet: what nobody measured is a gap, not a pass."
          : `Records of ${of(c.sites_inspected)}.`,
    },
    {
      key: "ranking",
      done: c.scored > 0 && c.sites_with_faults > 0,
      says: c.scored === 0 ? "Comes by itself once there are sites." : `${of(c.scored)} ranked.`,
    },
  ];
}
