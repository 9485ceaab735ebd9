import "server-only";
import type { AuditLine } from "../report/audit-line.ts";
import { AUDIT_FILE } from "../report/verify-evidence.ts";
import type { PartSource } from "../report/write-evidence.ts";
import type { Sql } from "../store/transaction.ts";

const PAGE = 500;

interface Row {
  seq: string;
  at: Date;
  person: string;
  role: string;
  action: string;
  subject: string;
  detail: unknown;
  previous_hash: Uint8Array;
  hash: Uint8Array;
  hashed: string;
}

/**
 * The audit entries about a site, oldest first: decisions on the site itself, on the clocks that stamped its log, and on
 * the parameter table that every diagnosis rests on. Who else was shown the site is left out. Entries about other sites are nobody else's to read, so the chain has
 * gaps in it; each entry carries the text that its hash covers and can be checked by itself.
 * @param sources log sources of the site
 */
export function auditPart(tx: Sql, siteId: string, sources: readonly string[]): PartSource {
  let rows = 0;
  async function* chunks() {
    const entries = tx<Row[]>`
      SELECT seq::text AS seq, at, person, role, action, subject, detail, previous_hash, hash,
        jsonb_build_array(account_id, seq, (extract(epoch FROM at) * 1000)::bigint, person, role, action, subject, detail)::text AS hashed
      FROM audit_entry WHERE account_id = current_account()
        AND action NOT LIKE 'link.%' AND (subject = ${siteId} OR subject = ANY(${[...sources]}) OR action LIKE 'parameters.%') ORDER BY seq`;
    for await (const batch of entries.cursor(PAGE)) {
      rows += batch.length;
      yield batch.map((row) => `${JSON.stringify(lineOf(row))}\n`).join("");
    }
  }
  return { file: AUDIT_FILE, chunks, rows: () => rows };
}

function lineOf(row: Row): AuditLine {
  const { seq, at, previous_hash, hash, ...rest } = row;
  return {
    seq: Number(seq),
    at: at.toISOString(),
    person: rest.person,
    role: rest.role,
    action: rest.action,
    subject: rest.subject,
    detail: rest.detail,
    previous_hash: Buffer.from(previous_hash).toString("hex"),
    hash: Buffer.from(hash).toString("hex"),
    hashed: rest.hashed,
  };
}
