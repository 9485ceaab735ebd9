import "server-only";
import { Readable } from "node:stream";
import { z } from "zod";
import { csvLine } from "../contract/csv-records.ts";
import { authorise } from "../core/permissions.ts";
import type { AuditLine } from "../report/audit-line.ts";
import type { Actor } from "../store/actor.ts";
import { auditChain } from "../store/audit-chain.ts";
import { noteSeen } from "../store/seen.ts";
import { readTransaction, writeTransaction } from "../store/transaction.ts";
import { AUDIT_PAGE, type AuditExportQuery, type AuditQuery, type AuditView } from "./audit-log-view.ts";
import { bytesOf } from "./set-aside-download.ts";

const EXPORT_PAGE = 1000;

const Row = z.object({
  seq: z.coerce.number(),
  at: z.date(),
  person: z.string(),
  name: z.string().nullable(),
  role: z.string(),
  action: z.string(),
  subject: z.string(),
  detail: z.unknown(),
});

/** One page of the log, newest first, and whether its chain of hashes holds. Looking at it is an entry too. */
export async function readAuditLog(actor: Actor, query: AuditQuery): Promise<AuditView> {
  authorise(actor, "audit.read");
  await noteSeen(actor, "audit.view", "audit");
  const { person, action, subject, before } = query;
  return readTransaction(actor, async (tx) => {
    const rows = await tx`
      SELECT a.seq, a.at, a.person, p.name, a.role, a.action, a.subject, a.detail FROM audit_entry a
      LEFT JOIN person p ON p.account_id = a.account_id AND p.person_id = a.person
      WHERE a.account_id = current_account() ${person ? tx`AND a.person = ${person}` : tx``}
        ${action ? tx`AND a.action = ${action}` : tx``} ${subject ? tx`AND a.subject = ${subject}` : tx``}
        ${before ? tx`AND a.seq < ${before}` : tx``}
      ORDER BY a.seq DESC LIMIT ${AUDIT_PAGE + 1}`;
    const people = await tx<{ v: string }[]>`SELECT DISTINCT person AS v FROM audit_entry ORDER BY 1`;
    const actions = await tx<{ v: string }[]>`SELECT DISTINCT action AS v FROM audit_entry ORDER BY 1`;
    const found = z.array(Row).parse([...rows]);
    const shown = found.slice(0, AUDIT_PAGE);
    return {
      entries: shown.map(({ detail, at, ...rest }) => ({
        ...rest,
        at: at.toISOString(),
        detail: JSON.stringify(detail) === "{}" ? "" : JSON.stringify(detail),
      })),
      older: found.length > AUDIT_PAGE ? (shown.at(-1)?.seq ?? null) : null,
      people: people.map((row) => row.v),
      actions: actions.map((row) => row.v),
      chain: await auditChain(tx, actor.accountId),
    };
  });
}

/** The whole log as a file, oldest entry first, each with the text that its hash covers. Taking it is an entry too. */
export async function exportAuditLog(actor: Actor, { format }: AuditExportQuery): Promise<Response> {
  authorise(actor, "audit.read");
  await writeTransaction(actor, async () => ({
    result: null,
    note: { action: "audit.export", subject: "audit", detail: { format } },
  }));
  const body = Readable.toWeb(Readable.from(bytesOf(auditText(actor, format)))) as ReadableStream;
  const type = format === "csv" ? "text/csv" : "application/jsonl";
  return new Response(body, {
    headers: {
      "content-type": `${type}; charset=utf-8`,
      "content-disposition": `attachment; filename="audit-log.${format}"`,
      "cache-control": "no-store",
    },
  });
}

const COLUMNS = [
  "seq",
  "at",
  "person",
  "role",
  "action",
  "subject",
  "detail",
  "previous_hash",
  "hash",
  "hashed",
] as const;

/** A spreadsheet takes a cell that begins so for a formula; a leading apostrophe keeps it text. */
export const plainCell = (cell: string): string => (/^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell);

async function* auditText(actor: Actor, format: "csv" | "jsonl"): AsyncGenerator<string> {
  if (format === "csv") yield csvLine([...COLUMNS]);
  for (let after = 0; ; ) {
    const lines = await auditLines(actor, after);
    const last = lines.at(-1);
    if (!last) return;
    after = last.seq;
    yield lines
      .map((line) =>
        format === "jsonl"
          ? `${JSON.stringify(line)}\n`
          : csvLine(COLUMNS.map((c) => plainCell(c === "detail" ? JSON.stringify(line.detail) : String(line[c])))),
      )
      .join("");
  }
}

/** Entries after a number. Each transaction is short, and the log only grows: a slow download holds nothing up. */
async function auditLines(actor: Actor, after: number): Promise<AuditLine[]> {
  const rows = await readTransaction(
    actor,
    (tx) => tx<(Omit<AuditLine, "seq" | "at"> & { seq: string; at: Date })[]>`
      SELECT seq::text AS seq, at, person, role, action, subject, detail,
        encode(previous_hash, 'hex') AS previous_hash, encode(hash, 'hex') AS hash,
        jsonb_build_array(account_id, seq, (extract(epoch FROM at) * 1000)::bigint, person, role, action, subject, detail)::text AS hashed
      FROM audit_entry WHERE account_id = current_account() AND seq > ${after} ORDER BY seq LIMIT ${EXPORT_PAGE}`,
  );
  return rows.map((row) => ({ ...row, seq: Number(row.seq), at: row.at.toISOString() }));
}
