import { distanceText, money } from "@/app/_ui/format.ts";
import { useUnits } from "@/app/_ui/units.tsx";
import { CONSEQUENCE_LINE } from "@/app/_words/plan.ts";
import type { Units } from "@/lib/core/units.ts";
import type { MoveOptionView } from "@/lib/reads/plan-board-view.ts";

const signed = (value: number, says: string) =>
  value > 0 ? `+${says}` : says.startsWith("-") ? `−${says.slice(1)}` : says;

/** What a move would change, in one line: loss avoided less driving and work, road, lateness. */
export function consequenceText(
  option: Pick<MoveOptionView, "value" | "km" | "lateMinutes">,
  currency: string,
  units: Units,
): string {
  const value = signed(Math.round(option.value), money(option.value, currency));
  const way = signed(Math.round(option.km), distanceText(option.km, units));
  const late = Math.round(option.lateMinutes);
  return [value, way, ...(late === 0 ? [] : [CONSEQUENCE_LINE.late(signed(late, CONSEQUENCE_LINE.min(late)))])].join(
    ", ",
  );
}

/** The same with the rules that it would break. */
export function ConsequenceLine({ option, currency }: { option: MoveOptionView; currency: string }) {
  const units = useUnits();
  return (
    <span className="consequence">
      {consequenceText(option, currency, units)}
      {option.broken.length > 0 ? (
        <span className="breaks"> {CONSEQUENCE_LINE.notPossible(option.broken.join(" "))}</span>
      ) : null}
      {option.hazardsLater.length > 0 ? (
        <strong className="breaks"> {CONSEQUENCE_LINE.makeSafeLater(option.hazardsLater.join("; "))}</strong>
      ) : null}
    </span>
  );
}
