import { bandedPercent } from "../core/banded.ts";
import type { ReportDocument } from "./report-document.ts";

/** One month of a book of sites. Counts are of sites unless said. */
export interface BookMonth {
  book: string;
  /** YYYY-MM */
  month: string;
  currency: string;
  /** Newest record that the scores rest on, ISO; null: nothing imported. */
  asOf: string | null;
  sites: number;
  kw: number;
  byUrgency: { make_safe: number; urgent: number; planned: number; watch: number };
  notScored: number;
  /** Sites whose newest score holds a bonding or grounding defect more likely than not, now and at the month's start. */
  suspected: { now: number; atStart: number | null };
  /** Sum of the sites' expected loss a year; null where none is known. */
  expectedLoss: number | null;
  visitsDone: number;
  repairs: number;
  episodes: number;
  discoveries: { open: number; entered: number };
  notices: number;
  deadlines: { dueOn: string | null; title: string; site: string; state: string }[];
  deadlinesTotal: number;
  worst: { site: string; urgency: string; p: number; low: number; high: number }[];
  governs: string;
}

export const MOST_DEADLINES = 8;
export const MOST_SITES = 8;

const short = (text: string, most = 36) =>
  [...text].length > most ? `${[...text].slice(0, most - 3).join("")}...` : text;

/** One page for the owner of a book. Names are cut, and lists end, so that it stays one page; it says what it left out. */
export function monthlyReport(of: BookMonth, madeAt: number): ReportDocument {
  const { byUrgency: u, suspected } = of;
  const trend =
    suspected.atStart === null ? "no score before the month began" : `${suspected.atStart} when the month began`;
  return {
    title: `Monthly report ${of.month}`,
    subtitle: short(of.book, 60),
    madeAt,
    footer: `${short(of.book, 40)}, ${of.month}`,
    facts: [
      [
        "Sites",
        `${of.sites} with ${Math.round(of.kw).toLocaleString("en-US")} kW DC${of.notScored > 0 ? `; ${of.notScored} not scored yet` : ""}`,
      ],
      ["Records used up to", of.asOf ?? "nothing imported"],
      ["Urgency now", `make safe ${u.make_safe}, urgent ${u.urgent}, planned ${u.planned}, watch ${u.watch}`],
      ["Defect more likely than not", `${suspected.now} sites now; ${trend}`],
      [
        "Expected loss a year",
        of.expectedLoss === null
          ? "not known"
          : `${Math.round(of.expectedLoss).toLocaleString("en-US")} ${of.currency}, the sum of the queued sites' own; its spread is on the Exposure page`,
      ],
      [
        "In the month",
        `${of.visitsDone} visits done, ${of.repairs} repairs, ${of.episodes} ground-fault episodes, ${of.notices} notices sent`,
      ],
      ["Discoveries", `${of.discoveries.open} open; ${of.discoveries.entered} entered in the month`],
    ],
    sections: [
      {
        heading: "Next deadlines",
        paragraphs: [
          of.deadlinesTotal === 0
            ? "None is known. A term that nobody recorded has no deadline here."
            : `The first ${of.deadlines.length} of ${of.deadlinesTotal}.`,
        ],
        table: {
          columns: [
            { head: "Due", share: 2 },
            { head: "What", share: 3 },
            { head: "Site", share: 4 },
            { head: "State", share: 2 },
          ],
          rows: of.deadlines.map((d) => [d.dueOn ?? "notify now", d.title, short(d.site), d.state]),
        },
      },
      {
        heading: "Sites to look at first",
        paragraphs: ["Probability of a bonding or grounding defect; in brackets its 5 % and 95 % points."],
        table: {
          columns: [
            { head: "Site", share: 4 },
            { head: "Urgency", share: 2 },
            { head: "Probability", share: 3 },
          ],
          rows: of.worst.map((s) => [short(s.site), s.urgency.replaceAll("_", " "), bandedPercent(s)]),
        },
      },
      {
        heading: "How to read this",
        paragraphs: [
          of.governs,
          "A probability from records is no finding on site, and what is not recorded is a gap, not a pass. Treat all metal as live; a qualified person, licensed practice and the local authority decide.",
        ],
      },
    ],
  };
}
