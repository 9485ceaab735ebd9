import { OWN_CAUTION } from "@/app/_words/visit.ts";
import { ALWAYS, cautionText } from "@/lib/grounding/cautions.ts";

/** What a check needs beyond the cautions that stand above all of them. */
export function ownCaution(caution: string): string {
  const always = cautionText(ALWAYS);
  const own = caution.startsWith(always) ? caution.slice(always.length).trim() : caution;
  return own ? OWN_CAUTION.allOfTheAbove(own) : OWN_CAUTION.allOfTheAbove2;
}
