import type { Coverage } from "../core/records.ts";
import type { Completeness } from "../coverage/completeness.ts";
import type { ConditionFinding } from "../coverage/conditions.ts";
import type { ContractTrouble } from "../coverage/contract-troubles.ts";
import type { Deadline } from "../coverage/deadlines.ts";

/** On every page and in every file about contracts. */
export const CONTRACT_GOVERNS =
  "The contract itself governs: what stands here was copied from it by people and may be wrong. This is not legal advice.";

export interface DeadlineLine extends Deadline {
  siteName: string;
  portfolio: string;
  /** Expected recovery that lapses with it, account currency; null: not known. */
  atRisk: number | null;
}

export interface PaperLine {
  documentId: string;
  coverageId: string | null;
  kind: string;
  fileName: string;
  mediaType: string;
  bytes: number;
  sha256: string;
  page: number | null;
  note: string | null;
  addedBy: string;
  addedAt: string;
}

export interface ContractLine extends Coverage {
  siteName: string;
  portfolio: string;
  papers: PaperLine[];
}

export interface ReminderLine {
  key: string;
  siteId: string;
  says: string;
  raisedAt: string;
  /** Of the model's suspicion: nobody has discovered anything. */
  isSuspicion: boolean;
}

export interface LinkLine {
  linkId: string;
  madeFor: string;
  madeBy: string;
  madeAt: string;
  expiresAt: string | null;
  state: "open" | "expired" | "revoked";
}

export interface ReportLine {
  reportId: string;
  month: string;
  scheduled: boolean;
  sha256: string;
  madeBy: string;
  madeAt: string;
}

export interface CoverageView {
  /** Day on the server, UTC; deadlines count in each site's own day. */
  today: string;
  currency: string;
  books: string[];
  book: string | null;
  find: string;
  sites: number;
  /** Sites of the book without any contract on record. */
  bare: number;
  contracts: ContractLine[];
  contractsTotal: number;
  troubles: ContractTrouble[];
  deadlines: DeadlineLine[];
  deadlinesTotal: number;
  reminders: ReminderLine[];
  /** Of the book: links to its calendar, and its monthly reports; empty without a book. */
  links: LinkLine[];
  reports: ReportLine[];
}

export interface DiscoveryLine {
  discoveryId: string;
  what: string;
  reason: string;
  by: string;
  on: string;
  at: string;
  ended: { how: "withdrawn" | "closed"; by: string; at: string; reason: string } | null;
  /** Of the evidence that counts for it. */
  completeness: Completeness | null;
}

export interface NoticeLine {
  noticeId: string;
  coverageId: string;
  discoveryId: string;
  kind: "notice" | "proof_of_loss";
  sentOn: string;
  sentTo: string;
  method: string;
  documentId: string;
  recordedBy: string;
}

export interface PartLine {
  itemId: string;
  tag: string;
  what: string;
  placeFound: string;
  documentId: string | null;
  removedBy: string;
  removedAt: string;
  heldBy: string;
  transfers: {
    from: string;
    to: string;
    storedAt: string;
    sealed: boolean;
    signedFrom: string;
    signedTo: string;
    handedAt: string;
  }[];
}

export interface SiteCoverageView {
  site: { siteId: string; name: string; portfolio: string; timeZone: string };
  currency: string;
  today: string;
  suspicion: { since: string; atFirstScore: boolean; p: number; low: number; high: number } | null;
  contracts: ContractLine[];
  troubles: ContractTrouble[];
  deadlines: DeadlineLine[];
  discoveries: DiscoveryLine[];
  notices: NoticeLine[];
  /** Worth: rise of the expected recovery were it met, account currency; null where no contract that counts hangs on it. */
  conditions: (ConditionFinding & { worth: number | null })[];
  completeness: Completeness;
  /** What the worth of an item is worked out from, in words. */
  worthSays: string;
  papers: PaperLine[];
  parts: PartLine[];
  links: LinkLine[];
}

export interface CalendarView {
  month: string;
  books: string[];
  book: string | null;
  today: string;
  deadlines: DeadlineLine[];
  /** Those without a date: they are due now, whatever the month. */
  undated: DeadlineLine[];
}
