import { money } from "@/app/_ui/format.ts";
import type { MoveOptionView } from "@/lib/reads/plan-board-view.ts";

const signed = (value: number, says: string) =>
  value > 0 ? `+${says}` : says.startsWith("-") ? `−${says.slice(1)}` : says;

/** What a move would change, in one line: loss avoided less driving and work, road, lateness. */
export function consequenceText(
  option: Pick<MoveOptionView, "value" | "km" | "lateMinutes">,
  currency: string,
): string {
  const value = signed(Math.round(option.value), money(option.value, currency));
  const km = signed(Math.round(option.km), `${Math.round(option.km)} km`);
  const late = Math.round(option.lateMinutes);
  return [value, km, ...(late === 0 ? [] : [`${signed(late, `${late} min`)} late`])].join(", ");
}

/** The same with the rules that it would break. */
export function ConsequenceLine({ option, currency }: { option: MoveOptionView; currency: string }) {
  return (
    <span className="consequence">
      {consequenceText(option, currency)}
      {option.broken.length > 0 ? <span className="breaks"> Not possible: {option.broken.join(" ")}</span> : null}
      {option.hazardsLater.length > 0 ? (
        <strong className="breaks"> Make-safe later: {option.hazardsLater.join("; ")}.</strong>
      ) : null}
    </span>
  );
}
