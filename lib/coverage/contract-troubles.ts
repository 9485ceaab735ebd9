import type { Coverage } from "../core/records.ts";
import type { SiteTwice } from "./one-site.ts";

/** What of the terms as recorded cannot be right, or has to be settled by reading the contract. Nothing is left out for it. */
export interface ContractTrouble {
  what: "end_before_start" | "limit_below_deductible" | "currency_missing" | "overlap" | "site_twice";
  siteId: string;
  coverageIds: string[];
  says: string;
}

/** The same for sites that are on record twice, whatever their contracts. */
export const twiceTroubles = (twice: readonly SiteTwice[]): ContractTrouble[] =>
  twice.flatMap(({ siteId, others, says }) =>
    [siteId, ...others].map((id): ContractTrouble => ({ what: "site_twice", siteId: id, coverageIds: [], says })),
  );

type Terms = Pick<
  Coverage,
  | "coverageId"
  | "siteId"
  | "kind"
  | "provider"
  | "startsOn"
  | "endsOn"
  | "limitAmount"
  | "deductibleAmount"
  | "currency"
>;

const named = (terms: Terms) => `${terms.kind.replaceAll("_", " ")} ${terms.coverageId}`;

/**
 * Troubles in the contracts of any number of sites.
 * Two contracts overlap when they are of one kind at one site and share a day; days are inclusive.
 */
export function contractTroubles(all: readonly Terms[]): ContractTrouble[] {
  const found: ContractTrouble[] = [];
  for (const terms of all) found.push(...ownTroubles(terms));
  const groups = new Map<string, Terms[]>();
  for (const terms of all) {
    const key = `${terms.siteId}\n${terms.kind}`;
    groups.set(key, [...(groups.get(key) ?? []), terms]);
  }
  for (const group of groups.values()) {
    const ordered = group
      .filter((t) => t.startsOn <= t.endsOn)
      .sort((a, b) =>
        a.startsOn < b.startsOn ? -1 : a.startsOn > b.startsOn ? 1 : a.coverageId < b.coverageId ? -1 : 1,
      );
    ordered.forEach((first, i) => {
      for (const second of ordered.slice(i + 1)) {
        if (second.startsOn > first.endsOn) break;
        const [until] = [first.endsOn, second.endsOn].sort();
        found.push({
          what: "overlap",
          siteId: first.siteId,
          coverageIds: [first.coverageId, second.coverageId],
          says: `${named(first)} and ${second.coverageId} both run from ${second.startsOn} to ${until}. Both are kept. Read in both which one pays first, and give notice under each.`,
        });
      }
    });
  }
  return found;
}

function ownTroubles(terms: Terms): ContractTrouble[] {
  const one = (what: ContractTrouble["what"], says: string): ContractTrouble => ({
    what,
    siteId: terms.siteId,
    coverageIds: [terms.coverageId],
    says: `${named(terms)}: ${says}`,
  });
  const found: ContractTrouble[] = [];
  if (terms.endsOn < terms.startsOn)
    found.push(
      one(
        "end_before_start",
        `it ends on ${terms.endsOn}, before it starts on ${terms.startsOn}. Correct one of the two.`,
      ),
    );
  const { limitAmount: limit, deductibleAmount: deductible } = terms;
  if (limit !== null && deductible !== null && limit < deductible)
    found.push(
      one(
        "limit_below_deductible",
        `the limit ${limit} is below the deductible ${deductible}, so it could never pay. Check both against the contract.`,
      ),
    );
  if (terms.currency === null && (limit !== null || deductible !== null))
    found.push(
      one("currency_missing", "it has amounts and no currency. Until one is set the site's currency is used."),
    );
  return found;
}
