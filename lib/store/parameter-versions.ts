import { z } from "zod";
import { ACCOUNT_PARAMETERS } from "../coverage/account-parameters.ts";
import { type ParameterOverrides, withOverrides } from "../diagnose/parameter-overrides.ts";
import type { ParameterTable } from "../diagnose/parameters.ts";
import type { Sql } from "./transaction.ts";

export const PARAMETER_KINDS = ["edited", "learned", "rolled_back"] as const;

export const Overrides = z.record(
  z.string(),
  z.object({
    value: z.number(),
    spread: z.number(),
    provenance: z.object({ kind: z.enum(["published", "common_practice", "judgement"]), source: z.string() }),
  }),
);
const VersionRow = z.object({
  version: z.number().int(),
  parent: z.number().int().nullable(),
  restores: z.number().int().nullable(),
  kind: z.enum(PARAMETER_KINDS),
  reason: z.string(),
  person: z.string(),
  created_at: z.date(),
  defaults: z.string(),
  overrides: Overrides,
});
export type ParameterVersionRow = z.infer<typeof VersionRow>;

/** Versions of the account, newest first; none means that the program's defaults are in force. */
export async function parameterVersions(tx: Sql, most = 200): Promise<ParameterVersionRow[]> {
  const rows =
    await tx`SELECT version, parent, restores, kind, reason, person, created_at, defaults, overrides FROM parameter_version
    WHERE account_id = current_account() ORDER BY version DESC LIMIT ${most}`;
  return z.array(VersionRow).parse([...rows]);
}

export async function parameterVersion(tx: Sql, version: number): Promise<ParameterVersionRow | null> {
  const [row] =
    await tx`SELECT version, parent, restores, kind, reason, person, created_at, defaults, overrides FROM parameter_version
    WHERE account_id = current_account() AND version = ${version}`;
  return row ? VersionRow.parse(row) : null;
}

/**
 * The table of a stored version over the program's present defaults, named for both, so that scores are redone when
 * either changes.
 */
export function parameterTable(row: { version: number; overrides: ParameterOverrides } | null): ParameterTable {
  if (!row) return ACCOUNT_PARAMETERS;
  return withOverrides(ACCOUNT_PARAMETERS, row.overrides, `${ACCOUNT_PARAMETERS.version}+${row.version}`);
}

/** The table that scores are computed with now. */
export async function currentParameters(tx: Sql): Promise<ParameterTable> {
  const [row] = await parameterVersions(tx, 1);
  return parameterTable(row ?? null);
}
