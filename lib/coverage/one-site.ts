import { distanceKm, type LatLon } from "../core/earth.ts";

/** A site as far as it says that it is another one. */
export interface SiteIdentity extends LatLon {
  siteId: string;
  book: string;
  /** Serial numbers of its inverters, those on record. */
  serials: readonly string[];
}

/** One site that is on record more than once. */
export interface SiteTwice {
  /** The one that counts. */
  siteId: string;
  /** The others, each of which counts as that one. */
  others: string[];
  says: string;
}

/** Nearer than this, one inverter serial is one site. Engineering judgement: coordinates are read off maps. */
export const ONE_PLACE_KM = 0.25;
/** Shorter ones, and those without a digit, are words like "none". */
const LEAST_SERIAL = 4;

const isSerial = (serial: string) => serial.length >= LEAST_SERIAL && /\d/.test(serial);

/**
 * Sites that stand at one place and name one inverter by its serial number: one site under several names, mostly once in
 * each of two books. The first by book, then by id, counts; nothing is taken off the records.
 *
 * @shape O(serials, and pairs of sites that share one); deterministic
 */
export function sitesTwice(sites: readonly SiteIdentity[]): SiteTwice[] {
  const ordered = [...sites].sort((a, b) =>
    a.book !== b.book ? (a.book < b.book ? -1 : 1) : a.siteId < b.siteId ? -1 : 1,
  );
  const bySerial = new Map<string, SiteIdentity[]>();
  const countedAs = new Map<string, { first: SiteIdentity; serial: string }>();
  for (const site of ordered)
    for (const serial of new Set(site.serials.map((s) => s.trim().toUpperCase()).filter(isSerial))) {
      const before = bySerial.get(serial) ?? [];
      const first = before.find((other) => other.siteId !== site.siteId && distanceKm(other, site) <= ONE_PLACE_KM);
      if (first && !countedAs.has(site.siteId))
        countedAs.set(site.siteId, { first: countedAs.get(first.siteId)?.first ?? first, serial });
      bySerial.set(serial, [...before, site]);
    }
  const found = new Map<string, SiteTwice>();
  const bookOf = new Map(sites.map((site) => [site.siteId, site.book]));
  for (const [siteId, { first, serial }] of countedAs) {
    const had = found.get(first.siteId);
    const others = [...(had?.others ?? []), siteId];
    const named = [first.siteId, ...others].map((id) => `${id} (book ${bookOf.get(id)})`).join(" and ");
    const books = new Set([first.siteId, ...others].map((id) => bookOf.get(id)));
    found.set(first.siteId, {
      siteId: first.siteId,
      others,
      says: `${named} stand at one place and name the same inverter, serial ${serial}: ${
        books.size > 1 ? "one site in two books" : "one site entered twice"
      }? Money counts it once, as ${first.siteId}; nothing is taken off the records. Correct the portfolio or the serial number of the other.`,
    });
  }
  return [...found.values()];
}
