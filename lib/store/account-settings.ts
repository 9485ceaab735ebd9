import { z } from "zod";
import type { Sql } from "./transaction.ts";

/** Whether time and position of photos are kept, or taken off before anything is stored. */
export const PHOTO_PLACE = ["keep", "strip"] as const;

const SETTINGS = { photo_place: z.enum(PHOTO_PLACE).catch("keep") };
type Name = keyof typeof SETTINGS;

/** What an account chose; the first value where it chose nothing. */
export async function accountSetting<N extends Name>(tx: Sql, name: N): Promise<z.infer<(typeof SETTINGS)[N]>> {
  const [row] = await tx<{ value: string }[]>`
    SELECT value FROM account_setting WHERE account_id = current_account() AND name = ${name}`;
  return SETTINGS[name].parse(row?.value) as z.infer<(typeof SETTINGS)[N]>;
}

export async function setAccountSetting(tx: Sql, name: Name, value: string, person: string): Promise<void> {
  await tx`INSERT INTO account_setting (account_id, name, value, person)
    VALUES (current_account(), ${name}, ${value}, ${person})
    ON CONFLICT (account_id, name) DO UPDATE SET value = excluded.value, person = excluded.person, set_at = clock_timestamp()`;
}
