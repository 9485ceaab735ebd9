import type { DeadlineKind } from "../coverage/deadlines.ts";
import type { BookResult, SiteLossDetail } from "./exposure-stored.ts";

/** One book as its owner sees it. */
export interface BookLine {
  book: string;
  sites: number;
  kw: number;
  byUrgency: { make_safe: number; urgent: number; planned: number; watch: number };
  /** Newest figures of the coming year; null before any were drawn. */
  exposure: BookResult | null;
  deadlines: {
    total: number;
    /** Those whose day is over, near, or not known. */
    pressing: number;
    /** Expected recovery that hangs on contracts with a deadline, account currency. */
    atRisk: number;
    next: {
      siteId: string;
      siteName: string;
      coverageId: string;
      kind: DeadlineKind;
      dueOn: string | null;
      state: "open" | "lapse_risk" | "passed" | "read_contract" | "sent";
      daysLeft: number | null;
      sentOn: string | null;
    }[];
  };
  /** Sites with the greatest expected net loss. */
  worst: {
    siteId: string;
    name: string;
    net: { value: number; low: number; high: number };
    bonding: { p: number; low: number; high: number };
    missing: NonNullable<SiteLossDetail["proof"]>["gains"][number] | null;
  }[];
  reports: { reportId: string; month: string }[];
}

export interface BooksView {
  currency: string;
  asOf: string | null;
  computedAt: string | null;
  stale: boolean;
  books: BookLine[];
  cautions: string[];
}
