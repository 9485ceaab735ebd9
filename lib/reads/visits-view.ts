import type { QueueDocument, QueueVisit } from "./documents.ts";

export interface VisitsView extends Omit<QueueDocument, "visits" | "watch"> {
  visits: (QueueVisit & {
    siteName: string;
    portfolio: string;
    bonding: { p: number; low: number; high: number };
    leadingCause: string;
  })[];
  watch: { siteId: string; siteName: string; reason: string; wouldChange: string }[];
  /** Sites on watch that this month's lot fell on. */
  audit: { month: string; sharePct: number; sites: { siteId: string; siteName: string }[] };
}

export interface VisitView {
  asOf: string;
  currency: string;
  visit: QueueVisit;
  site: {
    siteId: string;
    name: string;
    portfolio: string;
    latitude: number;
    longitude: number;
    timeZone: string;
    dcKw: number;
    acKw: number;
    mounting: string | null;
    necEdition: string | null;
    contactName: string | null;
    contactPhone: string | null;
    emergencyPhone: string | null;
    accessFrom: string | null;
    accessTo: string | null;
    accessNote: string | null;
    permitAuthority: string | null;
  };
  answer: string;
}

/** A visit that something is written of. */
export interface WrittenVisit {
  visitId: string;
  siteId: string;
  siteName: string;
  /** ISO times of the first and last entry. */
  from: string;
  to: string;
  entries: number;
  signed: boolean;
}
