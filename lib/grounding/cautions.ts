/** Warnings that go with work at a site. Each is a full sentence or more and is never shortened where it is shown. */
export const CAUTIONS = {
  isolation_limits:
    "Isolation stops AC and inverter current only. Module-side conductors, and any metal they touch, stay live while there is light.",
  all_metal_live:
    "Treat all metal as live. Before touching any, measure AC and DC from it to ground and to its neighbour with a meter proven on a known source before and after.",
  stop_limit:
    "At 15 V AC rms or 30 V DC or more: stand back, touch nothing, keep everyone away and call. A reading below that is no promise.",
  shut_down_order:
    "Stop the inverter, then open and lock the AC side, then the DC side. Prove absence live-dead-live: meter on a known source, on the circuit, on the known source again.",
  no_load_break: "Never unplug a connector or open a circuit under load.",
  keep_bonds_closed:
    "Never open a bond, an equipment grounding conductor or a grounding electrode conductor. Only a qualified person may, under a written procedure, with a bypass bond fitted first.",
  electrode_stays: "The electrode stays connected while it is tested.",
  voltage_before_resistance:
    "Read AC and DC voltage between the two points first; with 1 V or more there, do not read resistance.",
  gap_first:
    "Before joining two pieces, measure AC and DC voltage across the gap between them with a meter proven on a known source before and after: the two sides may stand at different voltages, up to the array's.",
  leak_stays:
    "A jumper joins metal; it does not remove the leak behind it. Until the leak is found and repaired its current flows through the new jumper.",
  wet_roof: "Do not go onto a wet, frosted or windy roof. Nobody wets an array to provoke a fault.",
  fall_protection: "Use fall protection on the roof and on any ladder to it.",
  two_people: "Two people on site, in sight of each other.",
  qualified_person: "For a qualified person with the protective equipment that the work asks for.",
  no_reset: "Do not reset a ground fault, here or from afar, until its cause has been found.",
  insulation_test:
    "An insulation tester applies up to its full test voltage and the array adds its own: keep everyone off the array and its frames, and let the circuit discharge afterwards.",
  battery: "A battery cannot be switched off at its terminals: keep tools insulated and follow its maker's procedure.",
  local_authority: "The local authority having jurisdiction decides what applies here.",
} as const;

export type CautionId = keyof typeof CAUTIONS;

/** The sentences of some cautions as one text, in the order given, each once. */
export function cautionText(ids: readonly CautionId[]): string {
  return [...new Set(ids)].map((id) => CAUTIONS[id]).join(" ");
}

/** What applies to every step at every site. */
export const ALWAYS: readonly CautionId[] = ["all_metal_live", "isolation_limits", "stop_limit"];

/** Read before anything is touched, on every visit. */
export const BEFORE_WORK: readonly CautionId[] = [
  ...ALWAYS,
  "shut_down_order",
  "no_load_break",
  "keep_bonds_closed",
  "electrode_stays",
  "no_reset",
  "wet_roof",
  "fall_protection",
  "two_people",
  "qualified_person",
  "local_authority",
];

/** Which cautions a text of them holds, in their fixed order, and what of it is none of them. */
export function cautionsIn(text: string): { ids: CautionId[]; rest: string } {
  let rest = text;
  const ids = (Object.keys(CAUTIONS) as CautionId[]).filter((id) => {
    const held = rest.includes(CAUTIONS[id]);
    if (held) rest = rest.replace(CAUTIONS[id], "");
    return held;
  });
  return { ids, rest: rest.replace(/\s+/g, " ").trim() };
}
