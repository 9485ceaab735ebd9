import type { Coverage, Inspection, Inverter, Repair, Section, Site } from "../core/records.ts";
import type { EvidenceMove } from "../diagnose/score-moves.ts";
import type { AnswerPart } from "./answer-sentence.ts";
import type { QueueVisit, SiteScore, Urgency } from "./documents.ts";
import type { RainStrip } from "./ranked-sites-view.ts";
import type { PhotoView } from "./visits-view.ts";
import type { WorthTerm } from "./worth-view.ts";

export interface SiteView {
  asOf: string;
  site: Site;
  urgency: Urgency;
  /** The answer in one or two sentences, its figures apart. */
  answer: AnswerPart[];
  /** The contract's score of this site: the same numbers as the command line. */
  score: SiteScore;
  leadingCause: string;
  /** The queued visit, or why there is none. */
  visit: QueueVisit | null;
  watch: { reason: string; wouldChange: string } | null;
  /** Every term of what a visit is or would be worth, a year; empty for those who do not plan. */
  terms: WorthTerm[];
  currency: string;
  strip: RainStrip;
  station: {
    stationId: string | null;
    name: string | null;
    distanceKm: number | null;
    /** Share of hours of the log window with known weather, 0 to 1; null: no window. */
    coverage: number | null;
    says: string;
    trusted: string[];
    /** End of the newest hour of which anything is known, and when that was read; null: none is stored. */
    newestHour: { at: string; now: string } | null;
  };
  inverters: Inverter[];
  sections: Section[];
  inspections: Inspection[];
  repairs: Repair[];
  coverage: Coverage[];
  /** Newest ground-fault episodes, newest first, at most 200. */
  episodes: {
    onset: string;
    end: string | null;
    inverterIds: string[];
    rows: number;
    state: string;
    atRisk: boolean;
    clearedOnDrying: boolean | null;
    hoursSinceRain: number | null;
    censored: string | null;
  }[];
  /** Photos of all visits, the newest last. */
  photos: (PhotoView & { visitId: string })[];
  episodesTotal: number;
  faultRows: number;
  /** How the log was read: rows, duplicates, missing ends, unknown codes … */
  logCounts: Record<string, number>;
  /** Unit-hours left out of the hours at risk, by reason. */
  excludedUnitHours: Record<string, number>;
  /** Versions that the score was computed from, for tracing. */
  computedFrom: { inputHash: string; parameterVersion: string; codeVersion: string; computedAt: string };
  /** Earlier scores, oldest first: how the probability moved. */
  history: {
    asOf: string;
    /** When it was computed: what an inspection told is news of that moment, whatever the records' end. */
    computedAt: string;
    p: number;
    low: number;
    high: number;
    /** What it was computed from, and by what. */
    inputHash: string;
    parameterVersion: string;
    codeVersion: string;
    /** What moved it since the one before; null: the first, or too long ago to be told. */
    moved: { moves: EvidenceMove[]; rest: number; program: boolean } | null;
  }[];
}

/** The picture of a site: hourly or daily water and every ground fault of a span. */
export interface SiteTimeline {
  /** Step of the arrays: an hour for spans up to 31 days, else a day. */
  step: "hour" | "day";
  /** ISO time of the start of the first step, then one step each. */
  from: string;
  timeZone: string;
  /** First hour of the site's log; null: it has none. */
  logFrom: string | null;
  rainMm: (number | null)[];
  /** Deepest film of water in the step, mm. */
  filmMm: (number | null)[];
  /** Every ground-fault episode in the span: never thinned. */
  faults: { onset: string; end: string | null; wet: boolean | null; label: string }[];
}
