import type { SiteRecords } from "../core/records.ts";

/** A step of a claim site that comes before the walk. */
export interface BeforeWork {
  source: "coverage";
  step: "ask_carrier" | "keep_parts";
  says: string;
}

/**
 * What comes before anything is altered while a claim is open: evidence is not destroyed, unless people are in danger now.
 * @param cannotWait the visit is a make_safe
 */
export function beforeWork(records: Pick<SiteRecords, "claims" | "coverage">, cannotWait: boolean): BeforeWork[] {
  const claims = records.claims ?? [];
  if (claims.length === 0) return [];
  const to = [...new Set(records.coverage.flatMap((c) => c.noticeTo ?? []))];
  const whom = to.length > 0 ? to.join(", ") : "the carrier or warranty desk named in the contract";
  const about = claims.map((claim) => `${claim.what} (entered ${claim.discoveredOn})`).join("; ");
  const ask = cannotWait
    ? `A claim is open: ${about}. Keeping people off and making safe does not wait for anyone. Photograph every part where it sits before and after, alter nothing more than that takes, and tell ${whom} the same day.`
    : `A claim is open: ${about}. Ask the carrier before altering: ${whom}. Until the answer is written down, look, photograph and measure only.`;
  return [
    { source: "coverage", step: "ask_carrier", says: ask },
    {
      source: "coverage",
      step: "keep_parts",
      says: "Every part that comes off: photograph it in place, tag it, bag it, store it where it can be found, and let both sign at each handover. Nothing is thrown away.",
    },
  ];
}
