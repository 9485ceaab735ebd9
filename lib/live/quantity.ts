import { z } from "zod";
import { type Met, meet } from "../weather/formats/hour-fold.ts";

/** A measured value as the service writes it; unit and quality are words of its own vocabulary, with or without prefix. */
export const Quantity = z.object({
  value: z.number().nullish(),
  unitCode: z.string().nullish(),
  qualityControl: z.string().nullish(),
});
export type Quantity = z.infer<typeof Quantity>;

export type Dimension = "temperatureC" | "speedMs" | "depthMm" | "percent";

/**
 * How to bring a unit to the one used here. Names are those of the WMO code table common/unit, as the service uses
 * them (`wmoUnit:degC`, older answers `unit:degC`); which of them it uses is from memory.
 */
const UNITS: Record<Dimension, Readonly<Record<string, (value: number) => number>>> = {
  temperatureC: { degC: (v) => v, degF: (v) => ((v - 32) * 5) / 9, K: (v) => v - 273.15 },
  speedMs: { m_s: (v) => v, km_h: (v) => v / 3.6, kt: (v) => v * 0.514444, mi_h: (v) => v * 0.44704 },
  depthMm: { mm: (v) => v, cm: (v) => v * 10, m: (v) => v * 1000, in: (v) => v * 25.4, kg_m: (v) => v },
  percent: { percent: (v) => v, "%": (v) => v },
};

/**
 * A value in the unit of its dimension; null where there is none or its unit is not known, for a guessed unit would
 * be an invented value.
 * @param unit its unitCode or uom
 */
export function inUnit(
  value: number | null | undefined,
  unit: string | null | undefined,
  as: Dimension,
): number | null {
  if (value === null || value === undefined) return null;
  const name = (unit ?? "").replace(/^.*:/, "").replace(/-\d$/, "");
  const convert = Object.hasOwn(UNITS[as], name) ? UNITS[as][name] : undefined;
  return convert ? convert(value) : null;
}

/**
 * A quantity as far as its quality lets it be used. Codes are those of MADIS (Meteorological Assimilation Data Ingest
 * System, surface quality control notes): X failed the coarse check and B was called bad by a person, so both become
 * unknown; Q is questioned and kept, for doubt is better kept than rain lost.
 */
export function usable(quantity: Quantity | null | undefined, as: Dimension, met: Met): number | null {
  if (!quantity || quantity.value === null || quantity.value === undefined) return null;
  const code = (quantity.qualityControl ?? "").replace(/^.*:/, "").toUpperCase();
  if (code === "X" || code === "B") {
    meet(met, "values that the service marks as wrong, left unknown");
    return null;
  }
  if (code === "Q") meet(met, "values that the service questions, kept");
  const value = inUnit(quantity.value, quantity.unitCode, as);
  if (value === null) meet(met, "values in a unit that is not known, left unknown");
  return value;
}
