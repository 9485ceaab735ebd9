import fc from "fast-check";
import {
  ACCESSES,
  ARRAY_ELECTRODES,
  BATTERIES,
  BOND_METHODS,
  CAUSES,
  type Cause,
  CHECKS,
  COVERAGE_CONDITIONS,
  ELECTRODES,
  MOUNTINGS,
  NEC_EDITIONS,
  OUTCOMES,
  PATH_PIECE_KINDS,
  PIECE_BOND_METHODS,
  type SiteRecords,
} from "../../lib/core/records.ts";
import { checklistFor } from "../../lib/visit/checklist.ts";
import {
  AS_OF,
  sampleCorrelation,
  sampleCoverage,
  sampleDiagnosis,
  sampleInspection,
  sampleInverter,
  sampleRecords,
  sampleRepair,
  sampleSection,
  sampleSite,
} from "./sample-site.ts";

export const listOf = (records: SiteRecords, causes: Partial<Record<Cause, number>> = {}) =>
  checklistFor({ records, diagnosis: sampleDiagnosis(causes), correlation: sampleCorrelation(), asOf: AS_OF });
const maybe = <T>(values: readonly T[]) => fc.constantFrom<T | null>(...values, null);

export const anyRecords = fc
  .record({
    mounting: maybe(MOUNTINGS),
    access: maybe(ACCESSES),
    necEdition: maybe(NEC_EDITIONS),
    electrode: maybe(ELECTRODES),
    electrodeLengthFt: maybe([6, 8]),
    separateArrayElectrode: maybe(ARRAY_ELECTRODES),
    battery: maybe(BATTERIES),
    gecAwg: maybe(["8", "4", "nonsense"]),
    bondedTo: maybe(["bus", "A", "B", "Z"]),
    bondMethod: maybe(BOND_METHODS),
    egcAwg: maybe(["14", "10"]),
    maxDcV: maybe([600, 1500]),
    check: fc.constantFrom(...CHECKS),
    outcome: fc.constantFrom(...OUTCOMES),
    place: maybe(["A", "B"]),
    conditions: fc.subarray([...COVERAGE_CONDITIONS]),
    pieces: fc.array(fc.record({ kind: fc.constantFrom(...PATH_PIECE_KINDS), method: maybe(PIECE_BOND_METHODS) }), {
      maxLength: 4,
    }),
    tests: fc.array(fc.constantFrom(...CHECKS), { maxLength: 3 }),
  })
  .map((draw) => {
    const { mounting, access, necEdition, electrode, electrodeLengthFt, separateArrayElectrode, battery, gecAwg } =
      draw;
    const section = { bondedTo: draw.bondedTo, bondMethod: draw.bondMethod, egcAwg: draw.egcAwg };
    return sampleRecords({
      site: sampleSite({
        mounting,
        access,
        necEdition,
        electrode,
        electrodeLengthFt,
        separateArrayElectrode,
        battery,
        gecAwg,
      }),
      inverters: [sampleInverter({ maxDcV: draw.maxDcV })],
      sections: [sampleSection(section), sampleSection({ ...section, sectionId: "B" })],
      coverage: [sampleCoverage({ conditions: draw.conditions })],
      repairs: [sampleRepair({ testedAfter: "none" })],
      pathPieces: draw.pieces.map(({ kind, method }, i) => ({
        ...{ siteId: "S1", pieceId: `P${i}`, kind, name: null, sectionId: i === 0 ? "A" : null, inverterId: null },
        ...{ standsIn: i === 1 ? "inverter_egc inverter:I1 ground_bus" : null, place: i },
        ...{ bondedTo: null, method, awg: null, material: null, listed: null },
      })),
      inspections: [sampleInspection({ check: draw.check, outcome: draw.outcome, sectionId: draw.place })],
    });
  });
export const anyCauses = fc.record(
  Object.fromEntries(CAUSES.map((cause) => [cause, fc.double({ min: 0, max: 1, noNaN: true })])) as Record<
    Cause,
    fc.Arbitrary<number>
  >,
);
