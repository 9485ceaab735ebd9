import postgres from "postgres";
import { inject } from "vitest";
import type { Database } from "../../lib/store/database.ts";
import { renamed } from "./renamed.ts";

/** One connection to a test's database as the server's own superuser, whom row security does not bind. To be ended by whoever asks. */
export const adminConnection = ({ address }: Pick<Database, "address">): postgres.Sql =>
  postgres(renamed(inject("adminUrl"), new URL(address.ownerUrl).pathname.slice(1)), { max: 1, onnotice: () => {} });
