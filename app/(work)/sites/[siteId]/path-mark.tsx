import { PATH_MARK } from "@/app/_words/site-path.ts";
import type { LinkLine } from "@/lib/grounding/path-report.ts";

type Status = LinkLine["status"];

/** Said wherever a status is shown. */
export const STATUS_WORDS: Record<Status, string> = {
  verified: "verified",
  unverified: PATH_MARK.notVerified,
  failed: "failed",
  missing: "missing",
};

/** Told apart without colour: a tick, a question, a cross and an empty ring. Centred on 0, 0; 14 across. */
const SHAPES: Record<Status, string> = {
  verified: "M-4 0 L-1 3.5 L4.5 -3.5",
  unverified: "M-2.6 -2.4 C-2.6 -5.4 2.6 -5.4 2.6 -2.4 C2.6 -0.4 0 -0.4 0 1.8 M0 4 L0 4.6",
  failed: "M-3.5 -3.5 L3.5 3.5 M-3.5 3.5 L3.5 -3.5",
  missing: "",
};

export function PathMark({ status, x, y }: { status: Status; x: number; y: number }) {
  return (
    <g className={`path-mark ${status}`} transform={`translate(${x} ${y})`}>
      <circle r="7" />
      <path d={SHAPES[status]} />
    </g>
  );
}

/** Mark and word together, for a table or a legend. */
export function LinkState({ status }: { status: Status }) {
  return (
    <span className="link-state">
      <svg width="16" height="16" viewBox="-8 -8 16 16" aria-hidden="true">
        <PathMark status={status} x={0} y={0} />
      </svg>{" "}
      {STATUS_WORDS[status]}
    </span>
  );
}
