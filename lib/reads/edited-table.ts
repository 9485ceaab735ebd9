import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { tableProblem } from "../coverage/account-parameters.ts";
import { overrideProblem, withOverrides } from "../diagnose/parameter-overrides.ts";
import type { ParameterTable } from "../diagnose/parameters.ts";

export const ParameterChanges = z
  .array(z.object({ key: z.string().max(200), value: z.number(), spread: z.number() }))
  .min(1, "change at least one row")
  .max(500);

/**
 * A table with some rows changed.
 * @throws AppError `wrong_use` for an unknown row or a value it cannot take
 */
export function editedTable(
  table: ParameterTable,
  changes: z.infer<typeof ParameterChanges>,
  source: string,
): ParameterTable {
  const rows = new Map(table.rows.map((row) => [row.key, row]));
  const overrides = Object.fromEntries(
    changes.map(({ key, value, spread }) => {
      const row = rows.get(key);
      if (!row) throw new AppError("wrong_use", { message: `There is no parameter "${key}".` });
      const problem = overrideProblem(row, { value, spread });
      if (problem) throw new AppError("wrong_use", { message: `${key}: ${problem}.` });
      return [key, { value, spread, provenance: { kind: "judgement" as const, source } }];
    }),
  );
  const edited = withOverrides(table, overrides, "edited");
  const problem = tableProblem(edited);
  if (problem) throw new AppError("wrong_use", { message: `${problem}.` });
  return edited;
}
