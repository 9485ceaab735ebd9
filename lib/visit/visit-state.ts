export const VISIT_STATES = [
  "planned",
  "arrived",
  "go",
  "no_go",
  "working",
  "stop_work",
  "left_site",
  "checked_out",
] as const;
export type VisitState = (typeof VISIT_STATES)[number];

/**
 * Where a visit may go from each state. Work starts only through "go", work that was stopped starts again only through
 * a new "go", and nobody checks out without having said in what state the site was left.
 */
const NEXT: Record<VisitState, readonly VisitState[]> = {
  planned: ["arrived"],
  arrived: ["go", "no_go"],
  go: ["working", "no_go", "stop_work"],
  no_go: ["go", "left_site"],
  working: ["stop_work", "left_site"],
  stop_work: ["go", "left_site"],
  left_site: ["checked_out"],
  checked_out: [],
};

/**
 * What a visit may do next. A standing stop takes work off the list: only backing off, leaving and checking out remain.
 */
export function nextVisitStates(state: VisitState, stopStands: boolean): readonly VisitState[] {
  if (!stopStands) return NEXT[state];
  const calm: readonly VisitState[] = NEXT[state].filter((next) => next !== "go" && next !== "working");
  return calm;
}

/** Somebody is on site past the time they said they would have checked out. */
export function checkOutOverdue(state: VisitState, dueAt: number | null, now: number): boolean {
  return state !== "planned" && state !== "checked_out" && dueAt !== null && now > dueAt;
}

/** What a person said beside the state itself. */
export interface SaidOfVisit {
  weather: string;
  access: string;
  stopReason: string;
  left: string;
}

/** Why a state cannot be taken yet, with what to say first; null: it can. */
export function stateLacks(next: VisitState, said: SaidOfVisit): string | null {
  const isSaid = (text: string) => text.trim() !== "";
  if (next === "go" && !(said.weather === "right" && said.access === "right"))
    return "Say that weather and access are right, each by itself.";
  if (next === "no_go" && said.weather !== "wrong" && said.access !== "wrong")
    return "Say which is not right: weather or access.";
  if (next === "stop_work" && !isSaid(said.stopReason)) return "Say why work stops.";
  if ((next === "left_site" || next === "checked_out") && !isSaid(said.left))
    return "Write in what state the site is left, under Sign-off.";
  return null;
}
