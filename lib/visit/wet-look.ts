import type { Check, Skill } from "../core/records.ts";
import { CHECK_CATALOGUE } from "../grounding/check-catalogue.ts";
import { placeOf } from "./step-list.ts";

/** What has to be known of a line of a checklist. */
interface Line {
  check: Check;
  section_id: string | null;
  inverter_id: string | null;
}

/** Arriving, the talk before work, looking round, leaving, min. Judgement. */
const SETUP_MINUTES = 30;

/** The rules of a look in the wet, for everybody who has to do with it. */
export const WET_LOOK_RULES =
  "Ground level only, standing dry, two qualified people. Nothing is touched, opened or measured; nobody goes onto a roof, nobody wets an array. Leave at the first lightning.";

/**
 * What of a checklist is looked at while surfaces are wet: lines without a measurement, on the ground or in the electrical
 * room, and at the array only where it stands on the ground.
 *
 * @returns null where nothing is left to look at
 */
export function wetLook<L extends Line>(
  checklist: readonly L[],
  mounting: string | null,
): { lines: L[]; hoursOnSite: number; skills: Skill[] } | null {
  const lines = checklist.filter(({ check, section_id, inverter_id }) => {
    const place = placeOf(check, section_id, inverter_id);
    const ground = place === "ground" || place === "electrical_room" || (place === "roof" && mounting === "ground");
    return ground && CHECK_CATALOGUE[check].unit === null;
  });
  if (lines.length === 0) return null;
  const minutes = lines.reduce((sum, { check }) => sum + CHECK_CATALOGUE[check].minutes, SETUP_MINUTES);
  const skills = new Set(lines.flatMap(({ check }) => CHECK_CATALOGUE[check].skills));
  return {
    lines,
    hoursOnSite: Math.ceil(minutes / 15) / 4,
    skills: (["electrician", "battery"] as const).filter((skill) => skills.has(skill)),
  };
}
