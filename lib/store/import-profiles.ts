import { createHash } from "node:crypto";
import { z } from "zod";
import type { Sql } from "./transaction.ts";

/** How files with these columns are read, as somebody said once. The mapping is parsed by whoever reads by it. */
export interface ImportProfile {
  name: string;
  header: string[];
  mapping: unknown;
  madeBy: string;
  madeAt: string;
}

const Row = z.object({
  name: z.string(),
  header: z.array(z.string()),
  mapping: z.unknown(),
  made_by: z.string(),
  made_at: z.date(),
});

/** All profiles of the account, by name. */
export async function importProfiles(tx: Sql): Promise<ImportProfile[]> {
  const rows = await tx`SELECT name, header, mapping, made_by, made_at FROM import_profile
    WHERE account_id = current_account() ORDER BY name, header_key`;
  return z
    .array(Row)
    .parse([...rows])
    .map((r) => ({
      name: r.name,
      header: r.header,
      mapping: r.mapping,
      madeBy: r.made_by,
      madeAt: r.made_at.toISOString(),
    }));
}

/** Keep how files with these columns are read; an earlier profile of the same columns gives way. */
export async function keepImportProfile(
  tx: Sql,
  profile: { key: string; name: string; header: string[]; mapping: unknown; madeBy: string },
): Promise<void> {
  const digest = createHash("sha256").update(profile.key).digest("hex");
  await tx`INSERT INTO import_profile (account_id, header_key, name, header, mapping, made_by)
    VALUES (current_account(), ${digest}, ${profile.name}, ${tx.json(profile.header)}, ${tx.json(profile.mapping as never)}, ${profile.madeBy})
    ON CONFLICT (account_id, header_key) DO UPDATE SET name = EXCLUDED.name, header = EXCLUDED.header,
      mapping = EXCLUDED.mapping, made_by = EXCLUDED.made_by, made_at = now()`;
}
