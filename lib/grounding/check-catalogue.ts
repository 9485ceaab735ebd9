import type { Check, READING_UNITS, Skill } from "../core/records.ts";
import type { CautionId } from "./cautions.ts";

/** Where on the walk a check is done. `roof` is the array, wherever it stands. */
export const WALK = ["ground", "electrical_room", "roof", "back"] as const;
export type WalkPlace = (typeof WALK)[number];

/** What a check is and how it is done. Texts are for the technician. */
export interface CheckEntry {
  title: string;
  says: string;
  /** What to accept, with number and unit where there is one. */
  accept: string;
  unit: (typeof READING_UNITS)[number] | null;
  place: WalkPlace;
  skills: Skill[];
  /** Minutes at one place, judgement. */
  minutes: number;
  tools: string[];
  /** What the photo shows. */
  photo: string;
  cautions: CautionId[];
}

const ROOF: CautionId[] = ["wet_roof", "fall_protection", "two_people"];

export const CHECK_CATALOGUE: Record<Check, CheckEntry> = {
  section_potential: {
    title: "Voltage between metal parts",
    says: "Measure AC and then DC voltage with a high-impedance meter, holding only the probes' grips.",
    accept:
      "Below 1 V AC rms and below 1 V DC, which still promises nothing. 1 V or more: find the cause. 15 V AC rms or 30 V DC or more: stop.",
    unit: "volt",
    place: "roof",
    skills: ["electrician"],
    minutes: 4,
    tools: ["high-impedance multimeter", "proving unit"],
    photo: "Meter display with both probe points",
    cautions: ["two_people", "qualified_person"],
  },
  bond_resistance: {
    title: "Bond resistance",
    says: "Measure the resistance across the closed bond with a four-wire low-resistance meter at 0.2 A or more.",
    accept: "At most 0.1 ohm, four-wire. Above 0.1 to 1 ohm: watch. Above 1 ohm: fail.",
    unit: "ohm",
    place: "roof",
    skills: ["electrician"],
    minutes: 5,
    tools: ["four-wire low-resistance meter", "high-impedance multimeter"],
    photo: "Meter display with both contact points",
    cautions: ["voltage_before_resistance", "keep_bonds_closed", "qualified_person"],
  },
  section_jumper: {
    title: "Jumper between sections",
    says: "Look for the jumper or listed bonding hardware that joins this section to the next or to the ground bus, and follow it end to end.",
    accept: "There, undamaged, tight by sight, both ends on bare metal.",
    unit: null,
    place: "roof",
    skills: [],
    minutes: 4,
    tools: [],
    photo: "Both ends of the jumper",
    cautions: ["keep_bonds_closed"],
  },
  all_metal_bonded: {
    title: "All metal included",
    says: "Look for racking, rails, conduit, combiner boxes, trays and flashing near the array that no bond reaches.",
    accept: "Every piece is bonded; each exception is listed with a photo.",
    unit: null,
    place: "roof",
    skills: [],
    minutes: 6,
    tools: [],
    photo: "Each piece that no bond reaches",
    cautions: ["keep_bonds_closed"],
  },
  bare_metal_contact: {
    title: "Bare metal at the bond",
    says: "Look whether paint, anodising, dirt or corrosion lies between the parts of the joint, without loosening it.",
    accept: "Bare metal to bare metal, or hardware listed to pierce the coating; no corrosion.",
    unit: null,
    place: "roof",
    skills: [],
    minutes: 3,
    tools: ["torch"],
    photo: "The joint from the side",
    cautions: ["keep_bonds_closed"],
  },
  listed_hardware: {
    title: "Listed bonding hardware",
    says: "Compare the clips, washers and lugs with the module's and rail's instructions; note marks and batch.",
    accept: "Listed for this module and rail, fitted as instructed; no plain screw, no reused piercing washer.",
    unit: null,
    place: "roof",
    skills: [],
    minutes: 4,
    tools: ["installation instructions"],
    photo: "Marks on the hardware",
    cautions: ["keep_bonds_closed"],
  },
  egc_continuous: {
    title: "Equipment grounding conductor unbroken",
    says: "Follow the equipment grounding conductor by sight and measure it end to end as it is, connected.",
    accept:
      "Unbroken. At most 0.1 ohm four-wire at a joint; end to end no more than the wire itself has, and never above 1 ohm.",
    unit: "ohm",
    place: "electrical_room",
    skills: ["electrician"],
    minutes: 6,
    tools: ["four-wire low-resistance meter", "high-impedance multimeter"],
    photo: "Both ends and any damage",
    cautions: ["voltage_before_resistance", "keep_bonds_closed", "qualified_person"],
  },
  egc_size: {
    title: "Equipment grounding conductor size",
    says: "Read the size and material printed on the conductor and the rating of its overcurrent device.",
    accept: "At least the size the code table gives for that device.",
    unit: "awg",
    place: "electrical_room",
    skills: ["electrician"],
    minutes: 3,
    tools: ["torch"],
    photo: "Print on the conductor; label of the device",
    cautions: ["keep_bonds_closed", "qualified_person"],
  },
  inverter_ground_terminal: {
    title: "Inverter ground terminal",
    says: "Check by sight that the inverter's ground terminal goes through the equipment ground bar to the service ground, and that neutral and ground are not joined on the way.",
    accept:
      "One conductor a terminal unless listed for more; sound, tight by sight, no corrosion; neutral joined to ground at the service only.",
    unit: null,
    place: "electrical_room",
    skills: ["electrician"],
    minutes: 4,
    tools: ["torch"],
    photo: "Terminal and ground bar",
    cautions: ["shut_down_order", "keep_bonds_closed", "qualified_person"],
  },
  electrode_bonded: {
    title: "Electrodes joined",
    says: "Follow the grounding electrode conductor from the service to each electrode, and from any separate array electrode back to the service. Note size, splices and clamps.",
    accept: "Every electrode present is joined into one system; the conductor is unbroken or irreversibly spliced.",
    unit: null,
    place: "ground",
    skills: ["electrician"],
    minutes: 6,
    tools: ["earth clamp meter"],
    photo: "Each clamp and the conductor's run",
    cautions: ["keep_bonds_closed", "electrode_stays", "local_authority"],
  },
  electrode_resistance: {
    title: "Earth resistance",
    says: "Measure with an earth clamp around the connected conductor, or by fall of potential with everything left connected and the potential probe at 62 % of the way to the current probe; write which.",
    accept:
      "Single rod, pipe or plate: at most 25 ohm, else a supplemental electrode is needed, at least 6 ft away. Says nothing about the bond to the service.",
    unit: "ohm",
    place: "ground",
    skills: ["electrician"],
    minutes: 12,
    tools: ["earth clamp meter"],
    photo: "Clamp position and display",
    cautions: ["electrode_stays", "keep_bonds_closed", "voltage_before_resistance", "qualified_person"],
  },
  electrode_depth: {
    title: "Electrode length in soil",
    says: "Read the rod's length mark or the permit record, and see whether its top is flush or below grade or protected.",
    accept:
      "A rod or pipe has at least 8 ft in contact with soil; over rock slanted by at most 45 degrees, else laid in a trench at least 2.5 ft deep.",
    unit: "foot",
    place: "ground",
    skills: [],
    minutes: 4,
    tools: ["tape measure"],
    photo: "Top of the electrode with a scale",
    cautions: ["electrode_stays", "local_authority"],
  },
  aluminum_clear_of_earth: {
    title: "Aluminum clear of earth",
    says: "Look for bare aluminum conductors or rails that touch soil, concrete or masonry, and for aluminum ending close to earth.",
    accept: "No bare aluminum in contact with earth or masonry; outdoors none ends within 18 in of earth.",
    unit: null,
    place: "ground",
    skills: [],
    minutes: 3,
    tools: ["tape measure"],
    photo: "The lowest aluminum",
    cautions: ["keep_bonds_closed", "local_authority"],
  },
  battery_electrode: {
    title: "Battery grounding",
    says: "Follow the battery's grounding conductor to the electrode system that the rest of the site uses.",
    accept: "One common electrode system; no electrode of its own that is not joined to it.",
    unit: null,
    place: "electrical_room",
    skills: ["electrician", "battery"],
    minutes: 6,
    tools: ["torch"],
    photo: "Battery ground terminal and where it goes",
    cautions: ["battery", "keep_bonds_closed", "qualified_person"],
  },
  conductor_condition: {
    title: "Conductors",
    says: "Look for chafed, pinched, bitten or sun-cracked insulation, and conductors that lie in water or on sharp edges.",
    accept: "No damage; conductors held clear of roof, edges and water.",
    unit: null,
    place: "roof",
    skills: [],
    minutes: 6,
    tools: ["torch"],
    photo: "Any damage, and the conductor run",
    cautions: ["no_load_break"],
  },
  connector_condition: {
    title: "Connectors",
    says: "Look at the connectors where they are, mated: cracks, burns, unlike makes, half-seated, lying in water.",
    accept: "Fully seated, same make or listed together, dry, no discoloration.",
    unit: null,
    place: "roof",
    skills: [],
    minutes: 5,
    tools: ["torch"],
    photo: "Any doubtful connector",
    cautions: ["no_load_break"],
  },
  enclosure_dry: {
    title: "Enclosures dry",
    says: "Look for water, rust trails and failed seals or glands in combiner and junction boxes, after they are isolated.",
    accept: "Dry; seals and glands whole; drains clear.",
    unit: null,
    place: "roof",
    skills: ["electrician"],
    minutes: 5,
    tools: ["torch"],
    photo: "Inside of the enclosure",
    cautions: ["shut_down_order", "no_load_break", "qualified_person"],
  },
  surge_protection: {
    title: "Surge protection",
    says: "Read the indicators of surge devices and look for burn marks.",
    accept: "Indicators good; no burn marks; ground lead short and whole.",
    unit: null,
    place: "electrical_room",
    skills: ["electrician"],
    minutes: 3,
    tools: ["torch"],
    photo: "Indicator window",
    cautions: ["keep_bonds_closed", "qualified_person"],
  },
  insulation_resistance: {
    title: "Array insulation",
    says: "With the inverter stopped and isolated by its own disconnects, measure each pole to ground at the test points, by a written procedure. Write test voltage, method and surface.",
    accept:
      "At least 1 Mohm (0.5 Mohm below 120 V) at 250 V below 120 V, 500 V to 500 V, 1000 V to 1000 V, 1500 V above.",
    unit: "megohm",
    place: "back",
    skills: ["electrician"],
    minutes: 15,
    tools: ["PV insulation tester"],
    photo: "Display with test voltage",
    cautions: [
      "shut_down_order",
      "no_load_break",
      "insulation_test",
      "two_people",
      "qualified_person",
      "no_reset",
      "keep_bonds_closed",
    ],
  },
};

/** Every caution of a check at its place: those for the roof are added where it is done there. */
export function checkCautions(check: Check, place: WalkPlace): CautionId[] {
  const own = CHECK_CATALOGUE[check].cautions;
  return [...new Set<CautionId>([...own, ...(place === "roof" ? ROOF : [])])];
}
