import { FIX } from "@/app/_words/shared.ts";
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
  if (reopened) return "open again: silence no longer settles it";
  if (wetHoursToGo === null) return "silence alone would not get there";
  if (wetHoursToGo === 0) return "none: 95 % is reached";
  const hours = `${Math.max(1, Math.round(wetHoursToGo))} unit-hours`;
  if (expectedBy === null) return `${hours}; a date cannot be given`;
  const from = expectedFrom === "station" ? "by the station’s usual wetness" : "by the pace of the log";
  return `${hours}, about ${expectedBy.slice(0, 10)} ${from}`;
}
