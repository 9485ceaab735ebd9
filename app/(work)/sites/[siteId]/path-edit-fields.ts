import { PATH_EDIT_FIELDS } from "@/app/_words/site-path.ts";
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
  { name: "method", label: PATH_EDIT_FIELDS.madeBy, ask: choice(PIECE_BOND_METHODS) },
  { name: "awg", label: PATH_EDIT_FIELDS.conductorSize, ask: size },
  { name: "material", label: PATH_EDIT_FIELDS.materialCopperCladAluminum, ask: choice(CONDUCTOR_MATERIALS) },
  { name: "listed", label: PATH_EDIT_FIELDS.listedForWhatIt, ask: choice(YES_NO_UNKNOWN) },
];

/** What is asked for a part, in the order of the form. */
export function fieldsOf(what: EditablePart["what"], id: string, view: PathEditView): EditField[] {
  const others = (kind: EditablePart["what"]) =>
    view.parts.filter((part) => part.what === kind && (what !== kind || part.id !== id));
  const named = (kind: EditablePart["what"]) => others(kind).map((part) => ({ id: part.id, label: part.label }));
  switch (what) {
    case "site":
      return [
        { name: "electrode", label: PATH_EDIT_FIELDS.electrode, ask: choice(ELECTRODES) },
        {
          name: "electrode_length_ft",
          label: PATH_EDIT_FIELDS.lengthOfTheElectrode,
          ask: { kind: "number", unit: "ft" },
        },
        {
          name: "separate_array_electrode",
          label: PATH_EDIT_FIELDS.separateArrayElectrode,
          ask: choice(ARRAY_ELECTRODES),
        },
        { name: "battery", label: PATH_EDIT_FIELDS.battery, ask: choice(BATTERIES) },
        { name: "gec_awg", label: PATH_EDIT_FIELDS.electrodeConductorGecSize, ask: size },
        { name: "gec_material", label: PATH_EDIT_FIELDS.electrodeConductorMaterial, ask: choice(CONDUCTOR_MATERIALS) },
        { name: "service_conductor_awg", label: PATH_EDIT_FIELDS.serviceConductorsSize, ask: size },
        { name: "nec_edition", label: PATH_EDIT_FIELDS.codeEdition, ask: choice(NEC_EDITIONS) },
      ];
    case "inverter":
      return [
        { name: "egc_awg", label: PATH_EDIT_FIELDS.equipmentGroundingConductorEgc, ask: size },
        { name: "egc_material", label: PATH_EDIT_FIELDS.egcMaterial, ask: choice(CONDUCTOR_MATERIALS) },
        { name: "ac_ocpd_a", label: PATH_EDIT_FIELDS.overcurrentDeviceAcSide, ask: { kind: "number", unit: "A" } },
        { name: "dc_grounding", label: PATH_EDIT_FIELDS.groundingOfTheDc, ask: choice(DC_GROUNDINGS) },
      ];
    case "section": {
      const ends = [{ id: "bus", label: PATH_EDIT_FIELDS.serviceGroundBus }, ...named("section")];
      return [
        { name: "bonded_to", label: PATH_EDIT_FIELDS.bondedTo, ask: { kind: "named", values: ends } },
        { name: "bond_method", label: PATH_EDIT_FIELDS.bondedBy, ask: choice(BOND_METHODS) },
        { name: "hardware_listed", label: PATH_EDIT_FIELDS.hardwareListedForModule, ask: choice(YES_NO_UNKNOWN) },
        { name: "egc_awg", label: PATH_EDIT_FIELDS.equipmentGroundingConductorEgc, ask: size },
        { name: "egc_material", label: PATH_EDIT_FIELDS.egcMaterial, ask: choice(CONDUCTOR_MATERIALS) },
        {
          name: "ocpd_a",
          label: PATH_EDIT_FIELDS.overcurrentDeviceAOr,
          ask: { kind: "text", hint: PATH_EDIT_FIELDS.suchAsOrNone },
        },
        { name: "combiner_id", label: PATH_EDIT_FIELDS.combiner, ask: { kind: "text" } },
      ];
    }
    case "piece":
      return [
        { name: "kind", label: PATH_EDIT_FIELDS.whatItIs, ask: choice(PATH_PIECE_KINDS) },
        { name: "name", label: PATH_EDIT_FIELDS.whatPeopleCallIt, ask: { kind: "text" } },
        { name: "stands_in", label: PATH_EDIT_FIELDS.standsInTheLink, ask: { kind: "named", values: view.links } },
        { name: "place", label: PATH_EDIT_FIELDS.placeAlongThatLink, ask: { kind: "number", unit: "" } },
        {
          ...{ name: "bonded_to", label: PATH_EDIT_FIELDS.orStandsBesideThe },
          ask: { kind: "named", values: view.points.filter((point) => point.id !== `piece:${id}`) },
        },
        {
          name: "section_id",
          label: PATH_EDIT_FIELDS.belongsToSection,
          ask: { kind: "named", values: named("section") },
        },
        {
          name: "inverter_id",
          label: PATH_EDIT_FIELDS.belongsToInverter,
          ask: { kind: "named", values: named("inverter") },
        },
        ...MADE,
      ];
    case "bond":
      return [
        { name: "from_point", label: PATH_EDIT_FIELDS.from, ask: { kind: "named", values: view.points } },
        { name: "to_point", label: PATH_EDIT_FIELDS.to, ask: { kind: "named", values: view.points } },
        ...MADE,
      ];
  }
}

/** What a change did, field by field; a piece or bond that was added or taken away is said as a whole. */
export const fieldLabel = (name: string): string => name.replace(/_(awg|a|ft|id)$/, "").replaceAll("_", " ");
