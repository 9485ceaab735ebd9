import { createHash } from "node:crypto";
import { writeFileSync } from "node:fs";
import path from "node:path";
import type { Figure } from "../measure.ts";
import type { MadeFleet } from "./made-fleet.ts";

/** What a score leaves in the store, in columns that follow from records alone: no clock, no counter, no hash. */
const STORED: readonly [table: string, columns: string][] = [
  ["score", "result, learning_basis, bonding_p, bonding_low, bonding_high, energized_p, urgency"],
  ["site_detail", "detail, open_fixes"],
  [
    "standing",
    "name, portfolio, bonding_p, bonding_low, bonding_high, energized_p, energized_low, energized_high, leading_cause, leading_p," +
      " driver, rate_ratio, p_value, q_value, ratio_grid, shrunk_log_ratio, no_effect_p, wet_episodes, dry_episodes, last_inspected," +
      " urgency, expected_loss, expected_loss_avoided, visit_cost, proposal, strip, rank",
  ],
  ["clock_evidence", "source, evidence"],
];

/**
 * A digest of everything that scores left, to the last bit: two programs that leave the same digest on the same fleet
 * moved no number. The rows lie beside the fleet in `scores.txt`, to find what moved.
 */
export async function digestFigures({ admin }: MadeFleet): Promise<Figure[]> {
  const hash = createHash("sha256");
  const lines: string[] = [];
  for (const [table, columns] of STORED) {
    const newest = table === "score" ? "JOIN standing USING (account_id, site_id, input_hash)" : "";
    const own = columns.split(", ").map((column) => `t.${column.trim()}`);
    const rows = await admin.unsafe<{ site_id: string; text: string }[]>(
      `SELECT site_id, row(${own.join(", ")})::text AS text FROM ${table} t ${newest} ORDER BY site_id, text`,
    );
    for (const row of rows) lines.push(`${table} ${row.site_id} ${row.text}\n`);
  }
  for (const line of lines) hash.update(line);
  const file = path.join(process.env.RAINTRIP_DATA as string, "scores.txt");
  writeFileSync(file, lines.join(""));
  const says = `${lines.length} rows, ${hash.digest("hex").slice(0, 16)}, in ${file}`;
  return [{ name: "digest of what was stored", repeats: [{ seconds: 0, core: 0 }], says }];
}
