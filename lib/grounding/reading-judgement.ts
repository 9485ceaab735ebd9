import type { AwgSize, Inspection, Site } from "../core/records.ts";
import { compareConductorSizes, parseConductorSize, sayConductorSize } from "./conductor-size.ts";
import {
  BOND_FAIL_OHM,
  BOND_PASS_OHM,
  insulationTestRow,
  ROD_CONTACT_FT,
  SINGLE_ELECTRODE_OHM,
  STOP_AC_V,
  STOP_DC_V,
  WATCH_V,
} from "./limits.ts";
import { samePoints, voltageFirst } from "./voltage-first.ts";

export type Verdict = "pass" | "fail" | "watch" | "cannot_judge" | "stop";

/** What a reading means, with the reasons a technician reads. */
export interface ReadingJudgement {
  verdict: Verdict;
  reasons: string[];
}

/** What else is known where a reading is judged. */
export interface ReadingContext {
  /** Other inspections of the site, any order; the reading itself may be among them. */
  others: readonly Inspection[];
  /** Largest DC voltage of the inverter, V: it stands for the system voltage. Null: unknown. */
  maxDcV: number | null;
  electrode: Site["electrode"];
  /** Minimum conductor size for an egc_size reading; null or absent: unknown. */
  requiredSize?: AwgSize | null;
}

const SEVERITY: Record<Verdict, number> = { pass: 0, cannot_judge: 1, watch: 2, fail: 3, stop: 4 };
const say = (verdict: Verdict, ...reasons: string[]): ReadingJudgement => ({ verdict, reasons });

/**
 * Judge one inspection row. The recorded outcome and the measured number are both heard and the worse one counts,
 * except that an outcome of "pass" never mends a number that cannot be judged, and "unable" never hides a danger.
 *
 * @returns stop: stand back and keep others away; fail; watch; cannot_judge: a gap, not a pass; pass: this reading
 *   met its limit, which says nothing of what was not measured
 * @shape pure; a negative or unreadable number cannot be judged, but a voltage of either polarity counts in full
 */
export function judgeReading(inspection: Inspection, context: ReadingContext): ReadingJudgement {
  const measured = judgeValue(inspection, context);
  if (measured?.verdict === "stop") return measured;
  if (inspection.outcome === "fail") {
    const own = measured && SEVERITY[measured.verdict] >= SEVERITY.watch ? measured.reasons : [];
    return say("fail", ...own, "Recorded as failed on site.");
  }
  if (inspection.outcome === "unable")
    return say("cannot_judge", ...(measured?.reasons ?? []), "Recorded as not possible to check: a gap, not a pass.");
  return measured ?? say("pass", "Recorded as passed by sight; nothing was measured.");
}

function judgeValue(inspection: Inspection, context: ReadingContext): ReadingJudgement | null {
  if (inspection.value === null || inspection.value.trim() === "") return null;
  if (inspection.unit === "awg") return judgeSize(inspection, context);
  const value = Number(inspection.value);
  if (!Number.isFinite(value)) return say("cannot_judge", `"${inspection.value}" is not a number.`);
  // A potential written without its unit is a voltage: a number is never dropped for want of a "V".
  if (inspection.unit === "volt" || (inspection.unit === null && inspection.check === "section_potential")) {
    return judgeVoltage(inspection, Math.abs(value), context);
  }
  if (value < 0) return say("cannot_judge", "A negative reading is not possible.");
  if (inspection.unit === "foot") return judgeDepth(inspection, value);
  if (inspection.unit === null) return say("cannot_judge", "The number has no unit.");
  const ohms = value * { ohm: 1, kohm: 1e3, megohm: 1e6 }[inspection.unit];
  if (inspection.check === "insulation_resistance") return judgeInsulation(inspection, ohms / 1e6, context);
  if (inspection.check === "electrode_resistance") return judgeElectrode(inspection, ohms, context);
  return judgeBond(inspection, ohms, context);
}

function judgeVoltage(inspection: Inspection, volts: number, context: ReadingContext): ReadingJudgement {
  const stopAt = inspection.quantity === "dc" ? STOP_DC_V.value : STOP_AC_V.value;
  const kind =
    inspection.quantity === "dc"
      ? "V DC"
      : inspection.quantity === "ac_rms"
        ? "V AC rms"
        : "V, not said whether AC or DC: the lower limit counts";
  if (volts >= stopAt) {
    return say("stop", `${volts} ${kind}. ${stopAt} V or more: stand back, keep others away, touch nothing.`);
  }
  const high = inspection.meterImpedance === "high";
  const earlier = context.others.find((other) => standsAgainst(other, inspection));
  if (earlier && !high && !(inspection.inspector && inspection.inspectorLicence)) {
    return say(
      "stop",
      `An earlier ${earlier.value} V between these points stands: only a named, licensed person lowers it with a meter that is not of high impedance.`,
    );
  }
  const loading = high
    ? []
    : [
        "Read with a meter not known to be of high impedance, which pulls the voltage down: the true one may be higher.",
      ];
  if (volts >= WATCH_V.value)
    return say("watch", `${volts} ${kind}. From ${WATCH_V.value} V the cause has to be found.`, ...loading);
  const only = `Below ${WATCH_V.value} V is no reassurance: it can rise with light, rain or the next fault.`;
  return high ? say("pass", only) : say("cannot_judge", only, ...loading);
}

/** A stop-level reading at the same points earlier, or the same day where times are not known. */
function standsAgainst(other: Inspection, now: Inspection): boolean {
  if (other === now || other.unit !== "volt" || other.value === null || !samePoints(other, now)) return false;
  if (other.inspectedAt.at > now.inspectedAt.at) return false;
  if (other.quantity !== null && now.quantity !== null && other.quantity !== now.quantity) return false;
  return Math.abs(Number(other.value)) >= (other.quantity === "dc" ? STOP_DC_V.value : STOP_AC_V.value);
}

function judgeBond(inspection: Inspection, ohms: number, context: ReadingContext): ReadingJudgement {
  if (ohms > BOND_FAIL_OHM.value) return say("fail", `${ohms} ohm is above ${BOND_FAIL_OHM.value} ohm.`);
  const doubt = voltageDoubt(inspection, context);
  if (inspection.method !== "four_wire") {
    doubt.push(`Only a four-wire reading can judge ${BOND_PASS_OHM.value} ohm; leads and contacts are in this one.`);
  }
  if (ohms > BOND_PASS_OHM.value && inspection.method === "four_wire") {
    return say("watch", `${ohms} ohm lies between ${BOND_PASS_OHM.value} and ${BOND_FAIL_OHM.value} ohm.`, ...doubt);
  }
  if (doubt.length > 0) return say("cannot_judge", ...doubt);
  return say(
    "pass",
    `${ohms} ohm is at most ${BOND_PASS_OHM.value} ohm. A dry joint can read well and open in the wet.`,
  );
}

function voltageDoubt(inspection: Inspection, context: ReadingContext): string[] {
  const first = voltageFirst(inspection, context.others);
  if (first === null)
    return ["No voltage reading between the same points came first: the reading is doubtful and passes nothing alone."];
  if (first >= WATCH_V.value)
    return [`${first} V stood between these points: a resistance reading over it means nothing.`];
  return [];
}

function judgeInsulation(inspection: Inspection, megohms: number, context: ReadingContext): ReadingJudgement {
  const tested = inspection.testVoltageV;
  const row = context.maxDcV !== null && context.maxDcV > 0 ? insulationTestRow(context.maxDcV) : null;
  const byTest = tested !== null && tested > 0 && tested <= 250 ? 0.5 : 1;
  const minimum = row?.minimumMohm ?? byTest;
  if (megohms < minimum) return say("fail", `${megohms} Mohm is below ${minimum} Mohm.`);
  if (tested === null) return say("cannot_judge", "The test voltage is not recorded.");
  if (!row)
    return say("cannot_judge", "The array's largest voltage is not recorded, so the test voltage cannot be judged.");
  if (tested < row.testV) return say("cannot_judge", `Tested with ${tested} V; this array asks for ${row.testV} V.`);
  return say("pass", `${megohms} Mohm at ${tested} V meets ${minimum} Mohm. In the dry a wet fault can hide.`);
}

function judgeElectrode(inspection: Inspection, ohms: number, context: ReadingContext): ReadingJudgement {
  if (inspection.method !== "clamp" && inspection.method !== "fall_of_potential") {
    return say("cannot_judge", "Earth resistance is read with an earth clamp or by fall of potential.");
  }
  const scope =
    "The figure decides only whether a single rod, pipe or plate needs a supplemental electrode; an electrode that is not bonded to the service is a defect at any reading.";
  if (context.electrode !== "rod" && context.electrode !== "plate") {
    return say(
      "cannot_judge",
      `${SINGLE_ELECTRODE_OHM.value} ohm is a rule for a single rod, pipe or plate, and that is not what is recorded here.`,
      scope,
    );
  }
  const doubt = voltageDoubt(inspection, context);
  if (ohms > SINGLE_ELECTRODE_OHM.value)
    return say(
      "watch",
      `${ohms} ohm is above ${SINGLE_ELECTRODE_OHM.value} ohm: a supplemental electrode is needed unless there is one.`,
      scope,
      ...doubt,
    );
  return doubt.length > 0 ? say("cannot_judge", ...doubt, scope) : say("pass", scope);
}

function judgeDepth(inspection: Inspection, feet: number): ReadingJudgement {
  if (inspection.check !== "electrode_depth") return say("cannot_judge", "A length does not judge this check.");
  return feet >= ROD_CONTACT_FT.value
    ? say("pass", `${feet} ft in contact with soil.`)
    : say("fail", `${feet} ft is less than ${ROD_CONTACT_FT.value} ft in contact with soil.`);
}

function judgeSize(inspection: Inspection, context: ReadingContext): ReadingJudgement {
  const size = parseConductorSize(inspection.value);
  if (!size) return say("cannot_judge", `"${inspection.value}" is not a conductor size that is made.`);
  const required = context.requiredSize ?? null;
  if (required === null) return say("cannot_judge", "The minimum size is not known for this conductor.");
  const enough = compareConductorSizes(size.size, required) >= 0;
  return say(
    enough ? "pass" : "fail",
    `${sayConductorSize(size.size)} read on site; the minimum is ${sayConductorSize(required)}.`,
  );
}
