import { banded } from "./format.ts";
import { leftAt, shadeOf, wideBy } from "./placed.ts";

/** A probability with its 5 % and 95 % points, as figures and as a bar from 0 to 1. */
export function Probability({ value }: { value: { p: number; low: number; high: number } }) {
  return (
    <span className={`prob ${shadeOf(value.p)}`}>
      <span>{banded(value)}</span>
      <span className="bar" aria-hidden="true">
        <span className={`band ${leftAt(value.low * 100)} ${wideBy(Math.max(0.5, (value.high - value.low) * 100))}`} />
        <span className={`point ${leftAt(value.p * 100)}`} />
      </span>
    </span>
  );
}
