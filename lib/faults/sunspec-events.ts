/**
 * Event bits of SunSpec models by model and point. The same bit means different things in different models, so a
 * value is always decoded by both.
 *
 * @source SunSpec Alliance model definitions (repository sunspec/models, commit 7abdf898, json/model_N.json)
 */
const INVERTER_EVENTS: readonly (string | null)[] = [
  "GROUND_FAULT",
  "DC_OVER_VOLT",
  "AC_DISCONNECT",
  "DC_DISCONNECT",
  "GRID_DISCONNECT",
  "CABINET_OPEN",
  "MANUAL_SHUTDOWN",
  "OVER_TEMP",
  "OVER_FREQUENCY",
  "UNDER_FREQUENCY",
  "AC_OVER_VOLT",
  "AC_UNDER_VOLT",
  "BLOWN_STRING_FUSE",
  "UNDER_TEMP",
  "MEMORY_LOSS",
  "HW_TEST_FAILURE",
];

const COMBINER_EVENTS: readonly (string | null)[] = [
  "LOW_VOLTAGE",
  "LOW_POWER",
  "LOW_EFFICIENCY",
  "CURRENT",
  "VOLTAGE",
  "POWER",
  "PR",
  "DISCONNECTED",
  "FUSE_FAULT",
  "COMBINER_FUSE_FAULT",
  "COMBINER_CABINET_OPEN",
  "TEMP",
  "GROUNDFAULT",
  "REVERSED_POLARITY",
  "INCOMPATIBLE",
  "COMM_ERROR",
  "INTERNAL_ERROR",
  "THEFT",
  "ARC_DETECTED",
];

const DC_PORT_EVENTS: readonly (string | null)[] = [
  "GROUND_FAULT",
  "INPUT_OVER_VOLTAGE",
  null,
  "DC_DISCONNECT",
  null,
  "CABINET_OPEN",
  "MANUAL_SHUTDOWN",
  "OVER_TEMP",
  null,
  null,
  null,
  null,
  "BLOWN_FUSE",
  "UNDER_TEMP",
  "MEMORY_LOSS",
  "ARC_DETECTION",
  null,
  null,
  null,
  "RESERVED",
  "TEST_FAILED",
  "INPUT_UNDER_VOLTAGE",
  "INPUT_OVER_CURRENT",
];

const BATTERY_EVENTS: readonly (string | null)[] = [
  "COMMUNICATION_ERROR",
  "OVER_TEMP_ALARM",
  "OVER_TEMP_WARNING",
  "UNDER_TEMP_ALARM",
  "UNDER_TEMP_WARNING",
  "OVER_CHARGE_CURRENT_ALARM",
  "OVER_CHARGE_CURRENT_WARNING",
  "OVER_DISCHARGE_CURRENT_ALARM",
  "OVER_DISCHARGE_CURRENT_WARNING",
  "OVER_VOLT_ALARM",
  "OVER_VOLT_WARNING",
  "UNDER_VOLT_ALARM",
  "UNDER_VOLT_WARNING",
  "UNDER_SOC_MIN_ALARM",
  "UNDER_SOC_MIN_WARNING",
  "OVER_SOC_MAX_ALARM",
  "OVER_SOC_MAX_WARNING",
  "VOLTAGE_IMBALANCE_WARNING",
  "TEMPERATURE_IMBALANCE_ALARM",
  "TEMPERATURE_IMBALANCE_WARNING",
  "CONTACTOR_ERROR",
  "FAN_ERROR",
  "GROUND_FAULT",
  "OPEN_DOOR_ERROR",
  "CURRENT_IMBALANCE_WARNING",
  "OTHER_ALARM",
  "OTHER_WARNING",
  "RESERVED_1",
  "CONFIGURATION_ALARM",
  "CONFIGURATION_WARNING",
];

/** As a port of model 714, but bit 19 has no name. */
const MPPT_EVENTS = DC_PORT_EVENTS.map((name) => (name === "RESERVED" ? null : name));

/** Where only the ground-fault bit was checked against the definition, only it has a name. */
const only = (bit: number): readonly (string | null)[] => [...new Array<null>(bit).fill(null), "GROUND_FAULT"];

const TABLES: Record<string, readonly (string | null)[]> = {
  "2/Evt": only(0),
  "160/Evt": MPPT_EVENTS,
  "160/DCEvt": MPPT_EVENTS,
  "501/Evt": only(0),
  "502/Evt": only(0),
  "701/Alrm": [...INVERTER_EVENTS, "MANUFACTURER_ALRM"],
  "714/DCAlrm": DC_PORT_EVENTS,
  "802/Evt1": BATTERY_EVENTS,
  "803/StrEvt1": only(22),
  "804/Evt1": only(22),
  "804/StrEvt1": only(22),
  "807/Evt1": only(22),
};
for (const model of [101, 102, 103, 111, 112, 113]) TABLES[`${model}/Evt1`] = INVERTER_EVENTS;
for (const model of [401, 402, 403, 404]) {
  TABLES[`${model}/Evt`] = COMBINER_EVENTS;
  TABLES[`${model}/InEvt`] = COMBINER_EVENTS;
}

/** Names of the inverter events (models 101 to 113, point Evt1), by bit. */
export const INVERTER_EVENT_NAMES: readonly string[] = INVERTER_EVENTS.filter((name) => name !== null);

/**
 * Events of a bitfield32.
 * @returns names of the set bits; a bit without a name is `BIT_n`; null when the value means "not implemented"
 *   (all ones, or the highest bit set)
 * @throws RangeError when the model and point are not known, or the value is not a whole number of 32 bits
 */
export function decodeSunspec(model: number, point: string, value: number): string[] | null {
  const table = TABLES[`${model}/${point}`];
  if (!table) throw new RangeError(`decodeSunspec knows no events for model ${model}, point ${point}`);
  if (!Number.isInteger(value) || value < 0 || value > 0xffffffff)
    throw new RangeError(`decodeSunspec requires 32 bits, got ${value}`);
  if (value >= 0x80000000) return null;
  const events: string[] = [];
  for (let bit = 0; bit < 31; bit++) if (value & (1 << bit)) events.push(table[bit] ?? `BIT_${bit}`);
  return events;
}
