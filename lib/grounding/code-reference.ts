import { type Check, NEC_EDITIONS, type NecEdition } from "../core/records.ts";

type Rules = string | Partial<Record<NecEdition, string>>;

/**
 * Rule numbers by check: one text where the editions agree, else by edition. Numbers only, never the code's wording.
 * Numbers from memory unless the sizing and path tables name a copy. Rapid shutdown (690.12) is another matter and
 * is cited nowhere: it says nothing about grounding.
 */
const RULES: Record<Check, Rules> = {
  bond_resistance: "NEC 250.4, 690.43",
  section_potential: "NEC 250.4, 690.43",
  insulation_resistance: {
    "2014": "NEC 690.5",
    "2017": "NEC 690.41(B)",
    "2020": "NEC 690.41(B)",
    "2023": "NEC 690.41(B)",
  },
  electrode_resistance: "NEC 250.53(A)(2)",
  egc_continuous: "NEC 250.118, 690.43",
  egc_size: "NEC 250.122, 690.45",
  bare_metal_contact: "NEC 250.12",
  listed_hardware: "NEC 110.3(B), 250.8, 690.43",
  section_jumper: "NEC 690.43",
  all_metal_bonded: "NEC 250.4, 690.43",
  electrode_bonded: {
    "2014": "NEC 250.50, 250.58, 690.47",
    "2017": "NEC 250.50, 250.58, 690.47",
    "2020": "NEC 250.50, 250.58, 690.47",
    "2023": "NEC 250.50, 250.58, 690.47",
  },
  electrode_depth: {
    "2014": "NEC 250.53(G)",
    "2017": "NEC 250.53(G)",
    "2020": "NEC 250.53(A)(4)",
    "2023": "NEC 250.53(A)(4)",
  },
  aluminum_clear_of_earth: "NEC 250.64(A), 250.120(B)",
  inverter_ground_terminal: "NEC 250.8, 690.43",
  battery_electrode: {
    "2014": "NEC 250.50, 250.58",
    "2017": "NEC 706, 250.50, 250.58",
    "2020": "NEC 706, 250.50, 250.58",
    "2023": "NEC 706, 250.50, 250.58",
  },
  conductor_condition: "NEC 690.31",
  connector_condition: "NEC 690.33",
  enclosure_dry: "NEC 110.3(B), 110.11",
  surge_protection: "NEC 110.3(B)",
};

/**
 * Rules to cite for a check by the site's code edition.
 * @param edition null or one not loaded: the local authority's edition is named instead of a guess
 */
export function codeReference(check: Check, edition: string | null): string {
  const rules = RULES[check];
  const loaded = NEC_EDITIONS.find((known) => known === edition);
  if (loaded) return `${typeof rules === "string" ? rules : rules[loaded]} (${loaded})`;
  // Without an edition the newest numbering leads to the rule; which text applies is not ours to say.
  const newest = typeof rules === "string" ? rules : rules["2023"];
  return `${newest}, in the edition in force at the local authority`;
}
