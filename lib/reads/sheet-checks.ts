import type { Check } from "../core/records.ts";
import { bothIn, type Units } from "../core/units.ts";
import { ALWAYS, CAUTIONS, type CautionId, cautionsIn } from "../grounding/cautions.ts";
import { CHECK_CATALOGUE } from "../grounding/check-catalogue.ts";
import type { SheetCheck, VisitSheet } from "../report/visit-sheet.ts";
import type { ChecklistItem } from "./documents.ts";

/** `Bond resistance, section A`. */
export function checkTitle(check: Check, sectionId: string | null, inverterId: string | null): string {
  const where = [sectionId ? `section ${sectionId}` : "", inverterId ? `inverter ${inverterId}` : ""].filter(Boolean);
  return [CHECK_CATALOGUE[check].title, ...where].join(", ");
}

/** The cautions of a sheet as they are collected from its checks: each once, those that always hold apart. */
export class SheetCautions {
  readonly #own: string[] = [];

  /** @returns places of the cautions of a text in the list */
  of(text: string): number[] {
    const { ids, rest } = cautionsIn(text);
    const own = ids.filter((id) => !ALWAYS.includes(id)).map((id) => CAUTIONS[id]);
    return [...own, ...(rest ? [rest] : [])].map((caution) => {
      const known = this.#own.indexOf(caution);
      return known === -1 ? this.#own.push(caution) - 1 : known;
    });
  }

  lists(): Pick<VisitSheet, "always" | "cautions"> {
    return { always: ALWAYS.map((id: CautionId) => CAUTIONS[id]), cautions: [...this.#own] };
  }
}

/** A check to be done, with blanks to fill in. */
export function blankCheck(item: ChecklistItem, cautions: SheetCautions, units: Units): SheetCheck {
  const { tools, photo } = CHECK_CATALOGUE[item.check];
  const bring = tools.length > 0 ? ` Tools: ${tools.join(", ")}.` : "";
  return {
    title: checkTitle(item.check, item.section_id, item.inverter_id),
    lines: [
      bothIn(units, item.says),
      `Accept: ${bothIn(units, item.accept)} Reference: ${item.code_reference ?? "none"}.`,
      `Photo: ${photo}.${bring}`,
    ],
    cautions: cautions.of(item.caution),
    answer: { kind: "blank", unit: item.unit },
  };
}

/** What every check of a list needs, each tool once, in the order of use. */
export const toolsOf = (items: readonly ChecklistItem[]): string[] => [
  ...new Set(items.flatMap((item) => CHECK_CATALOGUE[item.check].tools)),
];
