import "server-only";
import { authorise } from "../core/permissions.ts";
import { headerKey, Mapping } from "../mapping/mapping.ts";
import type { Actor } from "../store/actor.ts";
import { importProfiles } from "../store/import-profiles.ts";
import { readTransaction } from "../store/transaction.ts";

export interface KnownProfile {
  name: string;
  mapping: Mapping;
  madeBy: string;
  madeAt: string;
}

/** How files with certain columns are read, as somebody said before. A profile that no longer fits the contract is passed over. */
export async function profileLookup(actor: Actor): Promise<(header: readonly string[]) => KnownProfile | null> {
  authorise(actor, "imports.read");
  const profiles = await readTransaction(actor, importProfiles);
  const known = new Map(
    profiles.flatMap(({ header, mapping, name, madeBy, madeAt }) => {
      const parsed = Mapping.safeParse(mapping);
      return parsed.success ? [[headerKey(header), { name, madeBy, madeAt, mapping: parsed.data }] as const] : [];
    }),
  );
  return (header) => known.get(headerKey(header)) ?? null;
}
