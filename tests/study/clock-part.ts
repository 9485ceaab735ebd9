import { seededRng } from "../../lib/core/random.ts";
import { type ClockOffset, clockOffset } from "../../lib/correlate/clock-offset.ts";
import { correlateSite } from "../../lib/correlate/correlate-site.ts";
import { skies } from "./correlation-study.ts";
import type { StudyOptions } from "./study-options.ts";
import { table } from "./study-table.ts";
import { makeFaults, type Nature, type Sky, siteInput } from "./world.ts";

const WET: Nature = { perYear: 12, driver: "any_wet", ratio: 5 };

/** The clock of one log with so many onsets, read the way the product does. */
function clockOf(sky: Sky, nature: Nature, onsets: number, seed: string): ClockOffset | null {
  const rows = makeFaults(sky, nature, seededRng(seed));
  const from = Math.max(0, rows.length - onsets);
  const { clock } = correlateSite(siteInput(sky, rows.slice(from)));
  return clockOffset(clock.map((c) => c.evidence));
}

/** Wrong clocks found, right ones left alone, and summer time missed, by the number of onsets. */
export function clockPart({ seed, sites, print }: StudyOptions): void {
  const n = sites ?? 500;
  const weather = skies(`${seed}/clock`, 40, 16);
  const each = (name: string, nature: (i: number) => Nature, onsets: number) =>
    Array.from({ length: n }, (_, i) =>
      clockOf(weather[i % weather.length] as Sky, nature(i), onsets, `${seed}/clock/${name}/${onsets}/${i}`),
    );
  const offsets = Array.from({ length: 24 }, (_, k) => (k < 12 ? k - 12 : k - 11));
  const rate = (hits: number) => ((100 * hits) / n).toFixed(1);
  const wrong = [10, 20, 40, 80].map((onsets) => {
    const hours = (i: number) => offsets[i % offsets.length] as number;
    const found = each("off", (i) => ({ ...WET, clockHours: hours(i) }), onsets);
    const exact = found.filter((c, i) => c?.offsetHours === hours(i)).length;
    const proposed = found.filter((c, i) => c?.proposal?.offsetHours === hours(i)).length;
    const false_ = found.filter((c, i) => c?.proposal && c.proposal.offsetHours !== hours(i)).length;
    const near = found.filter((c, i) => c && Math.abs(c.offsetHours - hours(i)) <= 1).length;
    return [String(onsets), rate(exact), rate(near), rate(proposed), rate(false_)];
  });
  print(`\nClocks off by 1 to 12 h, ratio 5 when wet, ${n} logs a row`);
  print(table(["onsets", "most likely is right, %", "within 1 h, %", "proposed, %", "wrongly proposed, %"], wrong));
  const right = [10, 40, 80].map((onsets) => {
    const found = [...each("right", () => WET, onsets), ...each("calm", () => ({ perYear: 12 }), onsets)];
    return [String(onsets), String(found.length), String(found.filter((c) => c?.proposal).length)];
  });
  print("\nRight clocks, half of them at sites that water does not move");
  print(table(["onsets", "logs", "moved"], right));
  const summer = [40, 80, 160].map((onsets) => {
    const found = each("summer", () => ({ ...WET, summerHours: 1 }), onsets);
    const seen = found.filter((c) => c?.proposal?.summerHours === 1 && c.proposal.offsetHours === 0).length;
    const other = found.filter((c) => c?.proposal && !(c.proposal.summerHours === 1 && c.proposal.offsetHours === 0));
    const likely = found.filter((c) => c?.summerHours === 1 && c.offsetHours === 0).length;
    return [String(onsets), rate(likely), rate(seen), rate(other.length)];
  });
  print("\nLogs that miss summer time");
  print(table(["onsets", "most likely is right, %", "proposed, %", "something else proposed, %"], summer));
}
