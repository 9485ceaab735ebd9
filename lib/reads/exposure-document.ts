import { z } from "zod";
import { BookResult, Ranged, SerialResult } from "./exposure-stored.ts";

const Time = z.iso.datetime({ offset: true });

/** One site's line: its expectation, and its part of the shortfall of its book and of the account. */
export const ExposureSite = z.object({
  site_id: z.string(),
  name: z.string(),
  book: z.string(),
  bonding_defect: z.object({ p: z.number(), low: z.number(), high: z.number() }),
  expected_gross: z.number(),
  expected_recovered: z.number(),
  expected_net: Ranged,
  part_of_book: z.number().describe("Sums over a book's sites to its expected shortfall at 97.5 %"),
  part_of_whole: z.number().describe("Sums over all sites to the account's expected shortfall at 97.5 %"),
});
export type ExposureSite = z.infer<typeof ExposureSite>;

/** What the owner stands to lose in the coming year, as the page, the command line and the API give it. */
export const ExposureDocument = z.object({
  as_of: Time.nullable(),
  computed_at: Time.nullable(),
  stale: z.boolean().describe("True: scores, contracts or parameters have moved since"),
  currency: z.string(),
  years: z.number().int().nullable().describe("Years drawn"),
  seed: z.string().nullable(),
  parameter_version: z.string().nullable(),
  whole: BookResult.nullable(),
  books: z.array(BookResult),
  serial: z.array(SerialResult).describe("How likely sites of one hardware batch share a defect"),
  sites: z.array(ExposureSite).describe("Greatest part in the tail first, at most 500; of one book with `book`"),
  remarks: z.array(z.string()),
  cautions: z.array(z.string()),
});
export type ExposureDocument = z.infer<typeof ExposureDocument>;

/** Said wherever money stands beside a contract. */
export const EXPOSURE_CAUTIONS = [
  "The contract itself governs, in its own words; these figures are an estimate and no legal advice.",
  "An unknown term is a gap, not cover: read the contract, and give notice now rather than late.",
  "Insurance pays claims; it does not undo an injury. A site with a likely defect is made safe first, whatever its contracts say.",
] as const;
