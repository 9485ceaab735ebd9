import { z } from "zod";
import type { QueueDocument, QueueVisit, Urgency } from "./documents.ts";

/** Which part of the lists: visits from a rank on, sites on watch after an id, repairs under watch by page. */
export const VisitsQuery = z.object({
  from: z.coerce.number().int().min(1).catch(1).default(1),
  watch: z.string().max(200).catch("").default(""),
  fixes: z.coerce.number().int().min(1).catch(1).default(1),
});
export type VisitsQuery = z.infer<typeof VisitsQuery>;

/** Rows of one page of either list. */
export const VISITS_PAGE = 50;

export interface VisitsView extends Omit<QueueDocument, "visits" | "watch"> {
  /** Those of this page, by rank. */
  visits: (QueueVisit & {
    siteName: string;
    portfolio: string;
    bonding: { p: number; low: number; high: number };
    leadingCause: string;
  })[];
  /** All queued visits by urgency, most pressing first: how many, and the rank of the first. */
  queued: { urgency: Urgency; n: number; from: number }[];
  /** Rank that the next page begins at; null: this is the last. */
  nextRank: number | null;
  /** Those of this page, by site. */
  watch: { siteId: string; siteName: string; reason: string; wouldChange: string }[];
  watched: number;
  /** Id after which the next page of the watch list begins; null: this is the last. */
  nextWatch: string | null;
  /** Since when sites of this page are locked out, ISO, by site. */
  isolated: Record<string, string>;
  /** Who is on site, the overdue first. */
  onSite: { visitId: string; siteName: string; by: string; state: string; leaveBy: string | null; overdue: boolean }[];
  /** Visits that somebody signed and that are not closed. */
  unclosed: { visitId: string; siteName: string; why: string }[];
  /** Whether time and position of photos are kept. */
  photoPlace: "keep" | "strip";
  /** Sites on watch that this month's lot fell on. */
  audit: { month: string; sharePct: number; sites: { siteId: string; siteName: string }[] };
}

/** A visit of the queue, or one that left it: then without a rank. */
export type WorkedVisit = Omit<QueueVisit, "rank"> & { rank: number | null };

/** A photo as the server holds it. */
export interface PhotoView {
  photoId: string;
  item: string;
  takenAt: string | null;
  position: { latitude: number; longitude: number } | null;
}

export interface VisitView {
  asOf: string;
  currency: string;
  visit: WorkedVisit;
  /** The visit was closed by a signature that stands. */
  closed: boolean;
  /** The site in three lines. */
  story: [string, string, string];
  photos: PhotoView[];
  isolatedSince: string | null;
  /** It may be made as a look in the wet: who allowed it, and what is looked at then. Null: nobody allows it. */
  wetLook: { allowedBy: string; allowedAt: string; reason: string; lines: string[]; hoursOnSite: number } | null;
  /** Lines written at whose section or inverter is not on record any more, by item. */
  gone: string[];
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
  /** Pieces of metal that were recorded by hand: further points that a reading can be taken between. */
  pieces: { id: string; label: string }[];
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
