import type { CSSProperties } from "react";
import { banded } from "./format.ts";

/** A probability with its 5 % and 95 % points, as figures and as a bar from 0 to 1. */
export function Probability({ value }: { value: { p: number; low: number; high: number } }) {
  const style = { "--p": value.p } as CSSProperties;
  return (
    <span className="prob" style={style}>
      <span>{banded(value)}</span>
      <span className="bar" aria-hidden="true">
        <span
          className="band"
          style={{ left: `${value.low * 100}%`, width: `${Math.max(0.5, (value.high - value.low) * 100)}%` }}
        />
        <span className="tick" style={{ left: `${value.p * 100}%` }} />
      </span>
    </span>
  );
}
