import { COVERAGE_CONDITIONS } from "../core/records.ts";
import { DEFAULT_PARAMETERS, type LossUnit, type ParameterRow, type ParameterTable } from "../diagnose/parameters.ts";
import { DEFAULT_LOSS_PARAMETERS, type LossParameters } from "./loss-parameters.ts";

/** Unit of every field of the loss model; a field that is a table has a row for each of its names. */
const UNITS: Record<Exclude<keyof LossParameters, "provenance">, LossUnit | "log sd"> = {
  seriousHarm: "money",
  harmPerYear: "chance a year",
  repairCost: "money",
  escalationPerYear: "share a year",
  accessWeight: "weight",
  severeLossPerYear: "chance a year",
  severeLossShare: "share",
  insuredValuePerKw: "money per kW",
  yieldKwhPerKw: "kWh per kW",
  energyPricePerKwh: "money per kWh",
  unknownOutageHours: "hours",
  longestOutageHours: "hours",
  otherCauseWeight: "weight",
  coverageValid: "share",
  conditionBroken: "share",
  conditionUnknown: "share",
  conditionsNotRecorded: "share",
  evidenceAccepted: "share",
  evidenceNone: "share",
  evidenceAll: "share",
  evidenceShare: "weight",
  noticeInTime: "share",
  noticeUnknown: "share",
  noticeSent: "share",
  noticeLate: "share",
  deadlineHorizonDays: "days",
  repairSpread: "log sd",
  propertySpread: "log sd",
  peopleSpread: "log sd",
  sharedInstaller: "share",
  sharedBatch: "share",
  serialShare: "share",
  serialLeast: "sites",
  drawnYears: "drawn years",
};
const FIELDS = Object.keys(UNITS) as (keyof typeof UNITS)[];
const PREFIX = "loss.";

/** The loss model as rows of the account's parameter table; money is in the account's currency. */
export function lossRows(params: LossParameters): ParameterRow[] {
  const source = "engineering judgement, no published source; set your own";
  const row = (key: string, value: number, unit: ParameterRow["unit"]): ParameterRow => ({
    key: PREFIX + key,
    value,
    unit,
    spread: 0,
    provenance: { kind: "judgement", source },
    fixed: true,
  });
  return FIELDS.flatMap((field) => {
    const value = params[field];
    if (typeof value === "number") return [row(field, value, UNITS[field])];
    return Object.entries(value).map(([name, number]) => row(`${field}.${name}`, number, UNITS[field]));
  });
}

/**
 * The loss model of a table. A row that an older table lacks takes its default.
 */
export function lossParametersOf(table: ParameterTable): LossParameters {
  const values = new Map(table.rows.map((row) => [row.key, row.value]));
  const filled = Object.fromEntries(
    FIELDS.map((field) => {
      const value = DEFAULT_LOSS_PARAMETERS[field];
      const at = (key: string, otherwise: number) => values.get(PREFIX + key) ?? otherwise;
      return [
        field,
        typeof value === "number"
          ? at(field, value)
          : Object.fromEntries(Object.entries(value).map(([name, n]) => [name, at(`${field}.${name}`, n)])),
      ];
    }),
  );
  return { provenance: `parameter table ${table.version}`, ...filled } as LossParameters;
}

/** Everything that an account may set: the numbers of the diagnosis, then those that money is reckoned with. */
export const ACCOUNT_PARAMETERS: ParameterTable = {
  version: `${DEFAULT_PARAMETERS.version}.1`,
  rows: [...DEFAULT_PARAMETERS.rows, ...lossRows(DEFAULT_LOSS_PARAMETERS)],
};

/** Why rows that are each possible cannot stand together; null where they can. */
export function tableProblem(table: ParameterTable): string | null {
  const { sharedInstaller, sharedBatch, evidenceNone, evidenceAll, evidenceShare, conditionBroken, conditionUnknown } =
    lossParametersOf(table);
  for (const condition of COVERAGE_CONDITIONS)
    if (conditionBroken[condition] > conditionUnknown[condition])
      return `loss.conditionBroken.${condition} must be no more than loss.conditionUnknown.${condition}: a condition that is broken answers no better than one that is unknown`;
  if (!(evidenceNone > 0 && evidenceAll < 1 && evidenceNone <= evidenceAll))
    return "loss.evidenceNone must be above 0, loss.evidenceAll below 1, and the first no more than the second";
  if (!Object.values(evidenceShare).some((weight) => weight > 0))
    return "one weight of loss.evidenceShare at least must be above 0";
  if (sharedInstaller + sharedBatch > 0.95)
    return `loss.sharedInstaller and loss.sharedBatch come to ${(sharedInstaller + sharedBatch).toFixed(2)} together: at most 0.95, or nothing is left to the site itself`;
  return null;
}
