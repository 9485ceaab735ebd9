export const TEST_RESULTS = ["pass", "fail", "unable"] as const;
export type TestResult = (typeof TEST_RESULTS)[number];

/** Facts of an emergency, in whatever order they arrive. */
export type MakeSafeEvent =
  | { kind: "alert"; at: number }
  | { kind: "acknowledged"; at: number; by: string }
  | { kind: "owner_told"; at: number; by: string; whom: string; means: string; keepOff: boolean; noReset: boolean }
  | { kind: "isolated"; at: number; by: string; lock: string; photo: string }
  | { kind: "repaired"; at: number; by: string; cause: string; action: string }
  | { kind: "tested"; at: number; by: string; continuity: TestResult; insulation: TestResult; surface: string }
  | { kind: "authorised"; at: number; by: string; licence: string; qualified: boolean }
  | { kind: "watched"; at: number }
  /** A further measured hazard: what was repaired and tested before it counts no longer. */
  | { kind: "hazard"; at: number; says: string }
  | { kind: "escalated"; at: number; unanswered: string; asked: string }
  | { kind: "released"; at: number; by: string; reason: string; licence: string; qualified: boolean };

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
  /** What has to be done now; null when the watch is over, it was released, or nothing was alerted. */
  next: MakeSafeStep | null;
  escalate: boolean;
  /** When it was locked out; null: it never was. */
  isolatedFrom: number | null;
  /** When it was given back; null: it was not, or never locked out. */
  isolatedTo: number | null;
  /** Who did the last step that somebody did: who has it. */
  hasIt: string | null;
  /** Why it was released by hand; null: it was not. */
  released: string | null;
  /** Events that did not count, with the reason. */
  refused: string[];
}

const named = (text: string) => text.trim() !== "";
const order = (kind: string) => (MAKE_SAFE_STEPS as readonly string[]).indexOf(kind);

/** Why an event is not enough for its step; null: it is. */
export function makeSafeLacks(event: MakeSafeEvent): string | null {
  if ("by" in event && !named(event.by)) return `${event.kind}: without a name it does not count.`;
  if (event.kind === "owner_told" && !(named(event.whom) && named(event.means)))
    return "owner_told: say who was told, and by what means.";
  if (event.kind === "owner_told" && !(event.keepOff && event.noReset))
    return "owner_told: the owner is told both to keep people off and not to reset.";
  if (event.kind === "isolated" && !(named(event.lock) && named(event.photo)))
    return "isolated: needs the lock and a photo.";
  if (event.kind === "repaired" && !(named(event.cause) && named(event.action)))
    return "repaired: say which cause was repaired and what was done.";
  if (event.kind === "tested") return testsLack(event);
  if (event.kind === "authorised" && !(named(event.licence) && event.qualified))
    return "authorised: only a qualified person with a licence authorises re-energising.";
  if (event.kind === "released" && !named(event.reason)) return "released: say why.";
  return null;
}

function testsLack({ continuity, insulation }: Extract<MakeSafeEvent, { kind: "tested" }>): string | null {
  const failed = Object.entries({ continuity, insulation }).filter(([, result]) => result === "fail");
  if (failed.length > 0) return "tested: the tests did not pass, so the repair is not done.";
  const missing = Object.entries({ continuity, insulation }).filter(([, result]) => result !== "pass");
  return missing.length > 0 ? `tested: ${missing.map(([name]) => name).join(" and ")} could not be measured.` : null;
}

const failedTest = (event: MakeSafeEvent) =>
  event.kind === "tested" && (event.continuity === "fail" || event.insulation === "fail");

/**
 * How far an emergency has come. Steps count in their order: one whose forerunner is missing waits for it. A failed
 * test and a further hazard throw the work back to the repair, which has to come again after it; a further repair asks
 * for the tests again. Isolation ends only by an authorisation or a release.
 */
export function makeSafeProgress(events: readonly MakeSafeEvent[], now: number): MakeSafeProgress {
  const refused: string[] = [];
  let step = -1;
  let alertAt = -Infinity;
  /** People asked so far. */
  let asked = 1;
  let isolatedFrom: number | null = null;
  let isolatedTo: number | null = null;
  let hasIt: string | null = null;
  let released: string | null = null;
  const inOrder = [...events].sort((a, b) => a.at - b.at || order(a.kind) - order(b.kind));
  for (const event of inOrder) {
    const why = makeSafeLacks(event);
    const at = order(event.kind);
    if (released !== null) refused.push(`${event.kind}: it was released by hand before.`);
    else if (why) {
      refused.push(why);
      if (failedTest(event) && step >= order("repaired")) step = order("isolated");
    } else if (event.kind === "escalated") asked++;
    else if (event.kind === "hazard") {
      if (step > order("isolated") && step < order("authorised")) step = order("isolated");
    } else if (event.kind === "released") {
      released = event.reason;
      if (isolatedFrom !== null) isolatedTo ??= event.at;
    } else if (at === step + 1 || repairsMore(event.kind, step)) {
      step = at;
      if (event.kind === "alert") alertAt = event.at;
      if ("by" in event) hasIt = event.by;
      if (event.kind === "isolated") isolatedFrom = event.at;
      if (event.kind === "authorised") isolatedTo = event.at;
    } else if (at > step + 1) refused.push(`${event.kind}: ${MAKE_SAFE_STEPS[step + 1]} comes first.`);
    else refused.push(`${event.kind}: it was done before.`);
  }
  return {
    step: MAKE_SAFE_STEPS[step] ?? null,
    next: step < 0 || released !== null ? null : (MAKE_SAFE_STEPS[step + 1] ?? null),
    escalate: released === null && step === 0 && now - alertAt > asked * ACKNOWLEDGE_WITHIN_MS,
    ...{ isolatedFrom, isolatedTo, hasIt, released, refused },
  };
}

/** One repair is seldom all: another may come until it is given back, and the tests come again after it. */
const repairsMore = (kind: string, step: number) =>
  kind === "repaired" && step >= order("repaired") && step < order("authorised");

/** What stands in the way of the next step besides the steps before it. */
export interface StandsInTheWay {
  /** Stop readings of the site's visits that nothing lowered, each as a sentence. */
  stops: readonly string[];
  /** Measured findings that no confirmed and tested repair answers, each as a sentence. */
  findings: readonly string[];
}

/**
 * Why a person's step cannot be written now, with what to do; null: it can. What may be written though it does not
 * count, because it is a fact: tests that failed or could not be made.
 */
export function refusedStep(
  events: readonly MakeSafeEvent[],
  event: MakeSafeEvent,
  way: StandsInTheWay,
): string | null {
  const before = makeSafeProgress(events, event.at);
  if (before.step === "watched" || before.released !== null)
    return "This make_safe is over. A further hazard opens a new one.";
  const why = makeSafeLacks(event);
  if (event.kind === "released") return why ?? refusedRelease(before, event, way);
  if (event.kind !== before.next && !repairsMore(event.kind, order(before.step ?? ""))) {
    const done = order(event.kind) <= order(before.step ?? "");
    return done
      ? `${say(event.kind)} is written already. Next is: ${say(before.next)}.`
      : `${say(before.next)} comes first: steps cannot be skipped.`;
  }
  if (event.kind === "authorised") {
    if (way.stops.length > 0)
      return `A stop stands: ${way.stops.join(" ")} A qualified person measures again between the same two points with a low-impedance meter, in the visit; then authorise.`;
    if (way.findings.length > 0)
      return `Still open: ${way.findings.join(" ")} Write a further repair at that place, confirmed, and test again; then authorise.`;
  }
  return event.kind === "tested" ? (named(event.by) ? null : why) : why;
}

function refusedRelease(
  before: MakeSafeProgress,
  event: Extract<MakeSafeEvent, { kind: "released" }>,
  { stops }: StandsInTheWay,
): string | null {
  if (stops.length > 0)
    return `A stop stands: ${stops.join(" ")} It cannot be released by hand; only a low-impedance reading by a qualified person lowers it.`;
  if (before.isolatedFrom !== null && before.isolatedTo === null && !(named(event.licence) && event.qualified))
    return "The site is isolated: only a qualified person with a licence gives it back. Give the licence, or go on with the steps.";
  return null;
}

/** Steps in words. */
export const STEP_WORDS: Record<MakeSafeStep, string> = {
  alert: "Alert",
  acknowledged: "A named person has it",
  owner_told: "Owner told",
  isolated: "Isolated",
  repaired: "Repaired",
  tested: "Tested",
  authorised: "Re-energising authorised",
  watched: "Watch over",
};
const say = (kind: string | null) => STEP_WORDS[kind as MakeSafeStep] ?? "Nothing";
