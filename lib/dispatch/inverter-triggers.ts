import {
  type Instant,
  type Inverter,
  type InverterReading,
  OTHER_CAUSES,
  type RecordedMoment,
  type RepairCause,
  type SiteRecords,
} from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import { residualTripMa, runningInsulationKohm } from "../grounding/limits.ts";
import { clearedByRepair } from "./cleared.ts";
import type { DispatchParameters } from "./dispatch-parameters.ts";
import type { MakeSafeTrigger } from "./make-safe-trigger.ts";

const HOUR_MS = 3_600_000;
const LEAK_CAUSES: readonly RepairCause[] = OTHER_CAUSES;

const readingsOf = (records: SiteRecords, inverter: Inverter, asOf: Instant) =>
  records.readings.filter((row) => row.inverterId === inverter.inverterId && row.observedAt <= asOf);

const moment = (row: InverterReading, zone: string): RecordedMoment => ({
  at: row.observedAt,
  day: localDay(row.observedAt, zone),
  dayOnly: false,
});

const round = (value: number) => Number(value.toPrecision(3));

/**
 * Inverters whose array insulation is persistently below the running limit: the latest `persistentReadings` or more
 * readings in a row lie below it and span at least `persistentHours`. One low reading at dawn is no persistence; a
 * later good reading ends the run.
 */
export function insulationTriggers(records: SiteRecords, asOf: Instant, params: DispatchParameters): MakeSafeTrigger[] {
  return records.inverters.flatMap((inverter) => {
    const limit = runningInsulationKohm(inverter.maxDcV, inverter.insulationLimitKohm);
    const rows = readingsOf(records, inverter, asOf).filter((row) => row.insulationKohm !== null);
    const lastGood = rows.findLastIndex((row) => (row.insulationKohm as number) >= limit);
    const run = rows.slice(lastGood + 1);
    const first = run[0];
    const last = run.at(-1);
    if (!first || !last || run.length < params.persistentReadings) return [];
    if (last.observedAt - first.observedAt < params.persistentHours * HOUR_MS) return [];
    const clearing = {
      found: moment(last, records.site.timeZone),
      sectionIds: [],
      inverterId: inverter.inverterId,
      test: "insulation" as const,
      causes: LEAK_CAUSES,
    };
    if (clearedByRepair(records, clearing, asOf)) return [];
    const lowest = Math.min(...run.map((row) => row.insulationKohm as number));
    const reason = `Inverter ${inverter.inverterId} has reported array insulation below ${round(limit)} kohm in its last ${run.length} readings since ${localDay(first.observedAt, records.site.timeZone)}, down to ${round(lowest)} kohm.`;
    return [
      {
        trigger: "insulation_low" as const,
        reason,
        since: first.observedAt,
        sectionId: null,
        inverterId: inverter.inverterId,
      },
    ];
  });
}

/**
 * Inverters that reported residual current at or above their trip value within `residualDays` before their latest
 * residual-current reading. An inverter that fell silent afterwards is not cleared by its silence. Without a recorded
 * trip value that of IEC 62109-2 for its rating is taken.
 */
export function residualTriggers(records: SiteRecords, asOf: Instant, params: DispatchParameters): MakeSafeTrigger[] {
  return records.inverters.flatMap((inverter) => {
    const rows = readingsOf(records, inverter, asOf).filter((row) => row.residualCurrentMa !== null);
    const latest = rows.at(-1);
    if (!latest) return [];
    const tripMa =
      inverter.tripMa !== null && inverter.tripMa > 0
        ? inverter.tripMa
        : inverter.acKw > 0
          ? residualTripMa(inverter.acKw)
          : 300;
    const from = latest.observedAt - params.residualDays * 24 * HOUR_MS;
    const over = rows.findLast((row) => row.observedAt >= from && (row.residualCurrentMa as number) >= tripMa);
    if (!over) return [];
    const clearing = {
      found: moment(over, records.site.timeZone),
      sectionIds: [],
      inverterId: inverter.inverterId,
      test: "insulation" as const,
      causes: LEAK_CAUSES,
    };
    if (clearedByRepair(records, clearing, asOf)) return [];
    const assumed = inverter.tripMa === null ? ", taken from its rating" : "";
    const reason = `Inverter ${inverter.inverterId} reported ${round(over.residualCurrentMa as number)} mA of residual current on ${localDay(over.observedAt, records.site.timeZone)}, at or above its trip value of ${round(tripMa)} mA${assumed}.`;
    return [
      {
        trigger: "residual_current" as const,
        reason,
        since: over.observedAt,
        sectionId: null,
        inverterId: inverter.inverterId,
      },
    ];
  });
}
