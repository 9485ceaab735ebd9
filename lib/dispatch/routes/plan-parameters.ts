/** When and how fast crews work. Engineering judgement throughout; an account may change it. */
export interface PlanParameters {
  provenance: string;
  /** Nobody works at a site in an hour whose chance of rain is above this, %. */
  rainChancePct: number;
  /** Where the chance is not forecast: mm in the hour from which it counts as rain. */
  rainMm: number;
  /** Hours after rain in which metal and roofs count as wet. */
  dryingHours: number;
  /** Nobody works in an hour whose chance of thunder is above this, %. */
  thunderChancePct: number;
  /** No roof work in gusts above this, m/s. */
  gustMs: number;
  /** Gust for a forecast mean wind, where no gust is forecast. */
  gustFactor: number;
  /** No roof work at or below this, °C. */
  frostC: number;
  /** Weekdays where a crew's are not recorded. */
  defaultWorkDays: readonly string[];
}

export const DEFAULT_PLAN_PARAMETERS: PlanParameters = {
  provenance: "engineering judgement, no published source",
  rainChancePct: 30,
  rainMm: 0.2,
  dryingHours: 2,
  thunderChancePct: 30,
  gustMs: 12,
  gustFactor: 1.5,
  frostC: 0,
  defaultWorkDays: ["mon", "tue", "wed", "thu", "fri"],
};
