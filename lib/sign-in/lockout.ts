import type { Database } from "../store/database.ts";
import { hashOf } from "./secret-token.ts";

/**
 * Wrong passwords in a row before an address is closed, and for how long. NIST SP 800-63B, 5.2.2 asks for at most 100 in a
 * row; ten with a pause is common practice.
 */
export const MOST_FAILURES = 10;
export const LOCKED_MINUTES = 15;

const key = (email: string) => hashOf(`lock/${email.trim().toLowerCase()}`);

/** Until when an address is closed; null: it is open. The same whether somebody has the address or not. */
export async function lockedUntil(db: Database, email: string): Promise<Date | null> {
  const { rows } = await db.signIn.query(
    "SELECT locked_until FROM sign_in_lock WHERE email_hash = $1 AND locked_until > now()",
    [key(email)],
  );
  return (rows[0] as { locked_until: Date } | undefined)?.locked_until ?? null;
}

/** Count a wrong password. @returns whether it closed the address */
export async function countFailure(db: Database, email: string): Promise<boolean> {
  const { rows } = await db.signIn.query(
    `INSERT INTO sign_in_lock AS l (email_hash, failures, failed_at) VALUES ($1, 1, now())
     ON CONFLICT (email_hash) DO UPDATE SET failed_at = now(),
       failures = CASE WHEN l.locked_until IS NULL OR l.locked_until > now() THEN l.failures + 1 ELSE 1 END,
       locked_until = CASE WHEN l.locked_until IS NULL AND l.failures + 1 >= $2 THEN now() + make_interval(mins => $3)
         WHEN l.locked_until > now() THEN l.locked_until END
     RETURNING failures, locked_until`,
    [key(email), MOST_FAILURES, LOCKED_MINUTES],
  );
  const row = rows[0] as { failures: number; locked_until: Date | null };
  return row.locked_until !== null && row.failures === MOST_FAILURES;
}

export async function clearFailures(db: Database, email: string): Promise<void> {
  await db.signIn.query("DELETE FROM sign_in_lock WHERE email_hash = $1", [key(email)]);
}
