import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { CHECKS } from "../../lib/core/records.ts";
import { bondingPath } from "../../lib/grounding/bonding-path.ts";
import { CHECK_CATALOGUE } from "../../lib/grounding/check-catalogue.ts";
import { proposeJumpers } from "../../lib/grounding/propose-jumpers.ts";
import { anyCauses, anyRecords, listOf } from "../support/any-records.ts";
import { AS_OF } from "../support/sample-site.ts";

/** Orders that would make the hazard. A caution that forbids one is not an order. */
const HAZARDS: readonly RegExp[] = [
  /\b(open|remove|loosen|undo|disconnect|lift|unbolt|unscrew|cut|detach)\b[^.]*\b(bond|jumper|EGC|GEC|grounding conductor|electrode|ground lead|ground wire|lug|clamp|earth)\b/i,
  /\bunplug|\bunmate|\bpull (apart|out)|\bbreak (the )?(connection|connector)/i,
  /\breset\b|\brestart\b|\bre-?energi[sz]e\b|\bclear the fault\b|\breplace the fuse\b/i,
  /\b(wet|spray|hose|water|rinse|moisten|damp)\b (the|an|each|this|a|every) (array|module|roof|connector|joint)/i,
  /\bremotely\b|\bfrom afar\b/i,
  /\b(bond|join|tie|connect|jumper|strap)\b[^.]*\bneutral\b|\bneutral\b[^.]*\b(bond|tie|connect|jumper|strap) /i,
  /\bbypass\b[^.]*\b(detector|fuse|protection)\b|\b(raise|change|disable)\b[^.]*\b(threshold|detector|trip)\b/i,
  /\btouch\b|\bby hand\b|\bbare hand/i,
];
const NEVER = /\b(never|do not|not onto|nobody|without|no |are not|is not|only|stays?)\b/i;

const sentencesOf = (text: string) => text.split(/(?<=[.:;])\s/);
const orders = (text: string) => sentencesOf(text).filter((sentence) => !NEVER.test(sentence));

/** Every order that is no caution begins with one of these: they look, measure and write. */
const HARMLESS = new Set(
  "look measure follow compare check read note write see between with section inverter at".split(" "),
);

describe("no step makes the hazard", () => {
  test("in no checklist of any site, whatever is believed of it", () => {
    fc.assert(
      fc.property(anyRecords, anyCauses, (records, causes) => {
        // What stands there is a list of names, and no order.
        for (const item of listOf(records, causes).items)
          for (const text of [item.says.replace(/ Recorded here: [^.]*\.$/, ""), item.accept, item.photo])
            for (const sentence of orders(text)) for (const hazard of HAZARDS) expect(sentence).not.toMatch(hazard);
      }),
      { numRuns: 300 },
    );
  });

  test("what a check tells people to do begins with looking, measuring or writing", () => {
    for (const check of CHECKS)
      for (const sentence of CHECK_CATALOGUE[check].says.split(/(?<=[.;])\s/))
        expect(HARMLESS).toContain(sentence.split(/[\s,]/)[0]?.toLowerCase());
  });

  test("in no proposal of a jumper, and each says to measure across the gap and that the leak stays", () => {
    fc.assert(
      fc.property(anyRecords, (records) => {
        for (const jumper of proposeJumpers(records, bondingPath(records, AS_OF))) {
          for (const sentence of orders(jumper.says))
            for (const hazard of HAZARDS.slice(0, 5)) expect(sentence).not.toMatch(hazard);
          expect(`${jumper.from} ${jumper.to}`).not.toMatch(/neutral/i);
          expect(jumper.warnings).toContain("measure AC and DC voltage across the gap");
          expect(jumper.warnings).toContain("does not remove the leak");
        }
      }),
      { numRuns: 150 },
    );
  });

  test("where resistance is read, voltage comes first and the bond stays closed; an electrode stays connected", () => {
    fc.assert(
      fc.property(anyRecords, anyCauses, (records, causes) => {
        for (const item of listOf(records, causes).items) {
          if (item.unit === "ohm") {
            expect(item.caution).toContain("Read AC and DC voltage between the two points first");
            expect(item.caution).toContain("Never open a bond");
          }
          if (item.check === "electrode_resistance" || item.check === "electrode_bonded")
            expect(item.caution).toContain("The electrode stays connected while it is tested.");
          if (item.check === "insulation_resistance") expect(item.caution).toContain("Do not reset a ground fault");
          if (item.place === "roof" && records.site.mounting !== "ground")
            for (const words of ["wet, frosted or windy roof", "Use fall protection", "Two people"])
              expect(item.caution).toContain(words);
        }
      }),
      { numRuns: 150 },
    );
  });

  test("the rule itself catches the orders it is there for", () => {
    for (const order of [
      "Open the bond and measure.",
      "Disconnect the electrode.",
      "Loosen the lug and look.",
      "Detach the grounding conductor at the bar.",
      "Unplug the string.",
      "Pull apart the connectors.",
      "Reset the inverter.",
      "Replace the fuse and wait.",
      "Spray the array with water.",
      "Wet the module.",
      "Bond neutral to ground at the sub-panel.",
      "Connect the ground bar and the neutral bar.",
      "Raise the trip threshold.",
      "Touch the frame.",
    ]) {
      expect(orders(order).length).toBe(1);
      expect(HAZARDS.some((hazard) => hazard.test(order))).toBe(true);
    }
  });
});
