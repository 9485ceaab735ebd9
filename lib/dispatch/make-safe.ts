import { bandedText } from "../core/banded.ts";
import type { Instant, SiteRecords } from "../core/records.ts";
import type { Diagnosis } from "../diagnose/diagnosis.ts";
import type { DispatchParameters } from "./dispatch-parameters.ts";
import { inspectionTriggers } from "./inspection-triggers.ts";
import { insulationTriggers, residualTriggers } from "./inverter-triggers.ts";
import { MAKE_SAFE_TRIGGERS, type MakeSafeTrigger } from "./make-safe-trigger.ts";

/**
 * Every reason to make a site safe now, none of which can be outranked by money or by a score:
 * a potential at the stop limit or metal found live; array insulation persistently below the running limit; residual
 * current at or above the trip value; an open equipment grounding conductor; a report of shock, arcing, burning or
 * smoke; an open section bond likely where the public may reach it (unknown access counts as public); or a band of
 * energised metal whose low end is already high.
 *
 * What rests on a record stands until a confirmed repair at that place, strictly later, with the test that fits
 * (continuity for bonds and potentials, insulation for insulation). Silence, age, sunshine and a reset clear nothing.
 * A repair that shares only the day with its finding does not clear it: the order is not known.
 *
 * @returns in the order of MAKE_SAFE_TRIGGERS, then by time; empty: none of these was found, which is no clearance
 */
export function makeSafeTriggers(
  records: SiteRecords,
  diagnosis: Diagnosis,
  asOf: Instant,
  params: DispatchParameters,
): MakeSafeTrigger[] {
  const found = [
    ...inspectionTriggers(records, asOf),
    ...insulationTriggers(records, asOf, params),
    ...residualTriggers(records, asOf, params),
    ...probabilityTriggers(records, diagnosis, params),
  ];
  const order = (item: MakeSafeTrigger) => MAKE_SAFE_TRIGGERS.indexOf(item.trigger);
  return found.sort((a, b) => order(a) - order(b) || (a.since ?? 0) - (b.since ?? 0));
}

function probabilityTriggers(
  records: SiteRecords,
  diagnosis: Diagnosis,
  params: DispatchParameters,
): MakeSafeTrigger[] {
  const found: MakeSafeTrigger[] = [];
  const nowhere = { since: null, sectionId: null, inverterId: null };
  const { access } = records.site;
  const open = diagnosis.causes.open_section_bond;
  if (open >= params.makeSafeOpenBond && (access === null || access === "public")) {
    const who =
      access === null
        ? "it is not recorded who can reach the metal, which counts as public"
        : "the public can reach the metal";
    found.push({
      trigger: "open_bond_in_reach",
      reason: `An open bond between sections has probability ${bandedText({ p: open, ...diagnosis.causeBands.open_section_bond })}, and ${who}.`,
      ...nowhere,
    });
  }
  const { low } = diagnosis.energizedMetal;
  if (low >= params.makeSafeEnergizedLow) {
    found.push({
      trigger: "energized_metal",
      reason: `Energised metal has probability ${bandedText(diagnosis.energizedMetal)}: even the low end of its band is high.`,
      ...nowhere,
    });
  }
  return found;
}
