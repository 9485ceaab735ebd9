import {
  ARRAY_ELECTRODES,
  BATTERIES,
  BOND_METHODS,
  CONDUCTOR_MATERIALS,
  DC_GROUNDINGS,
  ELECTRODES,
  NEC_EDITIONS,
  PATH_PIECE_KINDS,
  PIECE_BOND_METHODS,
  YES_NO_UNKNOWN,
} from "@/lib/core/records.ts";
import type { EditablePart, PathEditView } from "@/lib/reads/path-edit-view.ts";

/** How a field is asked for. */
export type FieldAsk =
  | { kind: "text"; hint?: string }
  | { kind: "size" }
  | { kind: "number"; unit: string }
  | { kind: "choice"; values: readonly string[] }
  | { kind: "named"; values: readonly { id: string; label: string }[] };

export interface EditField {
  name: string;
  label: string;
  ask: FieldAsk;
}

const choice = (values: readonly string[]): FieldAsk => ({ kind: "choice", values });
const size: FieldAsk = { kind: "size" };

const MADE: EditField[] = [
  { name: "method", label: "Made by", ask: choice(PIECE_BOND_METHODS) },
  { name: "awg", label: "Conductor size", ask: size },
  { name: "material", label: "Material (copper-clad: aluminum)", ask: choice(CONDUCTOR_MATERIALS) },
  { name: "listed", label: "Listed for what it joins", ask: choice(YES_NO_UNKNOWN) },
];

/** What is asked for a part, in the order of the form. */
export function fieldsOf(what: EditablePart["what"], id: string, view: PathEditView): EditField[] {
  const others = (kind: EditablePart["what"]) =>
    view.parts.filter((part) => part.what === kind && (what !== kind || part.id !== id));
  const named = (kind: EditablePart["what"]) => others(kind).map((part) => ({ id: part.id, label: part.label }));
  switch (what) {
    case "site":
      return [
        { name: "electrode", label: "Electrode", ask: choice(ELECTRODES) },
        { name: "electrode_length_ft", label: "Length of the electrode", ask: { kind: "number", unit: "ft" } },
        { name: "separate_array_electrode", label: "Separate array electrode", ask: choice(ARRAY_ELECTRODES) },
        { name: "battery", label: "Battery", ask: choice(BATTERIES) },
        { name: "gec_awg", label: "Electrode conductor (GEC), size", ask: size },
        { name: "gec_material", label: "Electrode conductor, material", ask: choice(CONDUCTOR_MATERIALS) },
        { name: "service_conductor_awg", label: "Service conductors, size", ask: size },
        { name: "nec_edition", label: "Code edition", ask: choice(NEC_EDITIONS) },
      ];
    case "inverter":
      return [
        { name: "egc_awg", label: "Equipment grounding conductor (EGC), size", ask: size },
        { name: "egc_material", label: "EGC, material", ask: choice(CONDUCTOR_MATERIALS) },
        { name: "ac_ocpd_a", label: "Overcurrent device, AC side", ask: { kind: "number", unit: "A" } },
        { name: "dc_grounding", label: "Grounding of the DC side", ask: choice(DC_GROUNDINGS) },
      ];
    case "section": {
      const ends = [{ id: "bus", label: "Service ground bus" }, ...named("section")];
      return [
        { name: "bonded_to", label: "Bonded to", ask: { kind: "named", values: ends } },
        { name: "bond_method", label: "Bonded by", ask: choice(BOND_METHODS) },
        { name: "hardware_listed", label: "Hardware listed for module and rail", ask: choice(YES_NO_UNKNOWN) },
        { name: "egc_awg", label: "Equipment grounding conductor (EGC), size", ask: size },
        { name: "egc_material", label: "EGC, material", ask: choice(CONDUCTOR_MATERIALS) },
        { name: "ocpd_a", label: "Overcurrent device, A, or none", ask: { kind: "text", hint: "such as 15, or none" } },
        { name: "combiner_id", label: "Combiner", ask: { kind: "text" } },
      ];
    }
    case "piece":
      return [
        { name: "kind", label: "What it is", ask: choice(PATH_PIECE_KINDS) },
        { name: "name", label: "What people call it", ask: { kind: "text" } },
        { name: "stands_in", label: "Stands in the link", ask: { kind: "named", values: view.links } },
        { name: "place", label: "Place along that link, from the array", ask: { kind: "number", unit: "" } },
        {
          ...{ name: "bonded_to", label: "Or stands beside the way, bonded to" },
          ask: { kind: "named", values: view.points.filter((point) => point.id !== `piece:${id}`) },
        },
        { name: "section_id", label: "Belongs to section", ask: { kind: "named", values: named("section") } },
        { name: "inverter_id", label: "Belongs to inverter", ask: { kind: "named", values: named("inverter") } },
        ...MADE,
      ];
    case "bond":
      return [
        { name: "from_point", label: "From", ask: { kind: "named", values: view.points } },
        { name: "to_point", label: "To", ask: { kind: "named", values: view.points } },
        ...MADE,
      ];
  }
}

/** What a change did, field by field; a piece or bond that was added or taken away is said as a whole. */
export const fieldLabel = (name: string): string => name.replace(/_(awg|a|ft|id)$/, "").replaceAll("_", " ");
