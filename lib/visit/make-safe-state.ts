/** Facts of an emergency, in whatever order they arrive. */
export type MakeSafeEvent =
  | { kind: "alert"; at: number }
  | { kind: "acknowledged"; at: number; by: string }
  | { kind: "owner_told"; at: number; by: string; keepOff: boolean; noReset: boolean }
  | { kind: "isolated"; at: number; by: string; lock: string; photo: string }
  | { kind: "repaired"; at: number; by: string }
  | { kind: "tested"; at: number; by: string; passed: boolean }
  | { kind: "authorised"; at: number; by: string; licence: string }
  | { kind: "watched"; at: number };

export const MAKE_SAFE_STEPS = [
  "alert",
  "acknowledged",
  "owner_told",
  "isolated",
  "repaired",
  "tested",
  "authorised",
  "watched",
] as const;
export type MakeSafeStep = (typeof MAKE_SAFE_STEPS)[number];

/** A named person answers an alert within this time, or it goes to the next. Judgement. */
export const ACKNOWLEDGE_WITHIN_MS = 15 * 60_000;

export interface MakeSafeProgress {
  /** Last step that is done with all before it; null: there was no alert. */
  step: MakeSafeStep | null;
  /** What has to be done now; null when the watch is over or nothing was alerted. */
  next: MakeSafeStep | null;
  escalate: boolean;
  isolatedFrom: number | null;
  /** Events that did not count, with the reason. */
  refused: string[];
}

const named = (text: string) => text.trim() !== "";

/** Why an event is not enough for its step; null: it is. */
function lacking(event: MakeSafeEvent): string | null {
  if ("by" in event && !named(event.by)) return `${event.kind}: without a name it does not count.`;
  if (event.kind === "owner_told" && !(event.keepOff && event.noReset))
    return "owner_told: the owner is told both to keep people off and not to reset.";
  if (event.kind === "isolated" && !(named(event.lock) && named(event.photo)))
    return "isolated: needs the lock and a photo.";
  if (event.kind === "tested" && !event.passed) return "tested: the tests did not pass, so the repair is not done.";
  if (event.kind === "authorised" && !named(event.licence))
    return "authorised: only a qualified person with a licence authorises re-energising.";
  return null;
}

/**
 * How far an emergency has come. Steps count in their order: one whose forerunner is missing waits for it, and a
 * failed test throws the work back to the repair, which has to come again after it.
 */
export function makeSafeProgress(events: readonly MakeSafeEvent[], now: number): MakeSafeProgress {
  const refused: string[] = [];
  let step = -1;
  let since = -Infinity;
  let isolatedFrom: number | null = null;
  const inOrder = [...events].sort(
    (a, b) => a.at - b.at || MAKE_SAFE_STEPS.indexOf(a.kind) - MAKE_SAFE_STEPS.indexOf(b.kind),
  );
  for (const event of inOrder) {
    const why = lacking(event);
    const at = MAKE_SAFE_STEPS.indexOf(event.kind);
    if (why) {
      refused.push(why);
      if (event.kind === "tested" && !event.passed && step >= MAKE_SAFE_STEPS.indexOf("repaired"))
        step = MAKE_SAFE_STEPS.indexOf("isolated");
    } else if (at === step + 1) {
      step = at;
      since = event.at;
      if (event.kind === "isolated") isolatedFrom = event.at;
    } else if (at > step + 1) refused.push(`${event.kind}: ${MAKE_SAFE_STEPS[step + 1]} comes first.`);
  }
  return {
    step: MAKE_SAFE_STEPS[step] ?? null,
    next: step < 0 ? null : (MAKE_SAFE_STEPS[step + 1] ?? null),
    escalate: step === 0 && now - since > ACKNOWLEDGE_WITHIN_MS,
    isolatedFrom,
    refused,
  };
}
