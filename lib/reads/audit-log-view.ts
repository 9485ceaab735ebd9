import { z } from "zod";

export const AUDIT_PAGE = 100;

export const AuditQuery = z.object({
  person: z.string().max(200).default(""),
  action: z.string().max(200).default(""),
  subject: z.string().max(300).default(""),
  /** Show entries before this number. */
  before: z.coerce.number().int().positive().optional(),
});
export type AuditQuery = z.infer<typeof AuditQuery>;

export const AuditExportQuery = z.object({ format: z.enum(["csv", "jsonl"]).default("csv") });
export type AuditExportQuery = z.infer<typeof AuditExportQuery>;

/** One page of the audit log, newest first. */
export interface AuditView {
  entries: {
    seq: number;
    at: string;
    person: string;
    /** As people know them; null: a program, or nobody who is on record. */
    name: string | null;
    role: string;
    action: string;
    subject: string;
    detail: string;
  }[];
  /** Number to ask older entries with; null: these are the oldest. */
  older: number | null;
  people: string[];
  actions: string[];
  chain: { entries: number; firstBroken: number | null };
}
