import { FIX } from "@/app/_words/shared.ts";
import { FIX_STATE } from "@/app/_words/ui.ts";
import type { FixLine } from "@/lib/reads/fixes-view.ts";

const SIGNS: Record<FixLine["state"], string> = {
  held: "●",
  trips_go_on: "▲",
  no_recurrence_seen: "○",
  too_early: "·",
};

/** State of a fix as sign and word. */
export function FixState({ fix }: { fix: Pick<FixLine, "state" | "reopened"> }) {
  return (
    <strong>
      <span aria-hidden="true">{SIGNS[fix.state]} </span>
      {FIX[fix.state]}
      {fix.reopened ? FIX.openAgain : ""}
    </strong>
  );
}

/** Wet hours still needed, and when they are expected. */
export function wetHoursText({ wetHoursToGo, expectedBy, expectedFrom, reopened }: FixLine): string {
  if (reopened) return FIX_STATE.openAgainSilenceNo;
  if (wetHoursToGo === null) return FIX_STATE.silenceAloneWouldNot;
  if (wetHoursToGo === 0) return FIX_STATE.noneIsReached;
  const hours = FIX_STATE.unitHours(Math.max(1, Math.round(wetHoursToGo)));
  if (expectedBy === null) return FIX_STATE.aDateCannotBe(hours);
  const from = expectedFrom === "station" ? FIX_STATE.byTheStationsUsual : FIX_STATE.byThePaceOf;
  return FIX_STATE.about(hours, expectedBy.slice(0, 10), from);
}
