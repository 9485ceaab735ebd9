import type { Check } from "../core/records.ts";
import { CHECK_CATALOGUE } from "../grounding/check-catalogue.ts";

export const STILL_OPEN_SAYS =
  "These lines do not fit into one visit. They are not passed: they stay open, and the next visit takes them. Whoever has the time may do one now, its voltage first.";

interface OpenLine {
  check: Check;
  section_id: string | null;
  inverter_id: string | null;
}

/** Lines that stay open, a row for each check with the places that it is open at, in the order that the checks come in. */
export function openByCheck(lines: readonly OpenLine[]): { check: Check; title: string; places: string[] }[] {
  const rows = new Map<Check, string[]>();
  for (const { check, section_id, inverter_id } of lines) {
    const place =
      section_id !== null ? `section ${section_id}` : inverter_id !== null ? `inverter ${inverter_id}` : "the site";
    rows.set(check, [...(rows.get(check) ?? []), place]);
  }
  return [...rows].map(([check, places]) => ({ check, title: CHECK_CATALOGUE[check].title, places }));
}
