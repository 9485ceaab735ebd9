import type { Inspection } from "./records.ts";

type Said = Pick<Inspection, "siteId" | "check" | "sectionId" | "inverterId" | "outcome"> &
  Partial<Pick<Inspection, "value" | "unit">>;

/**
 * An inspection that nobody made, for asking what one would change: what is said of it, at the instant `at`
 * (milliseconds of the epoch), and nothing known of how it was measured.
 */
export function computedInspection(said: Said, at: number): Inspection {
  return {
    value: null,
    unit: null,
    ...said,
    inspectedAt: { at, day: new Date(at).toISOString().slice(0, 10), dayOnly: false },
    pointA: null,
    pointB: null,
    quantity: null,
    meterImpedance: null,
    method: null,
    testVoltageV: null,
    surface: null,
    systemState: null,
    instrumentSerial: null,
    calibratedOn: null,
    inspector: null,
    inspectorLicence: null,
    photo: null,
    note: null,
  };
}
