import { WHOLE_VISIT } from "./signature.ts";
import { distinctEdits, mergeEdits, type VisitEdit } from "./visit-edits.ts";
import { checkOutOverdue, VISIT_STATES, type VisitState } from "./visit-state.ts";

const MINUTE_MS = 60_000;
/** How long somebody is taken to stay where neither the phone nor the queue says, h. Judgement. */
export const DEFAULT_STAY_HOURS = 4;

/** A person of a visit as their own last words tell. */
export interface PersonOnSite {
  by: string;
  state: VisitState;
  /** When they last arrived; null: never. */
  arrivedAt: number | null;
  /** When they said, or are taken, to leave; null: never arrived. */
  leaveBy: number | null;
}

/**
 * Where each person of a visit is. Two people check out each for themselves.
 * @param hoursOnSite estimated for the visit; null: not known
 */
export function peopleOnSite(edits: readonly VisitEdit[], hoursOnSite: number | null): PersonOnSite[] {
  const own = edits.filter((edit) => edit.item === WHOLE_VISIT);
  const merged = mergeEdits(own);
  const values = (field: string) => merged.find((one) => one.field === field)?.values ?? [];
  return values("state").map(({ by, value }) => {
    const state = VISIT_STATES.find((one) => one === value) ?? "planned";
    const arrivals = distinctEdits(own).filter((e) => e.by === by && e.field === "state" && e.value === "arrived");
    const arrivedAt = arrivals.at(-1)?.at ?? null;
    const said = Number(values("leave_by").find((one) => one.by === by)?.value);
    const taken = arrivedAt === null ? null : arrivedAt + (hoursOnSite ?? DEFAULT_STAY_HOURS) * 60 * MINUTE_MS;
    const leaveBy = arrivedAt !== null && Number.isFinite(said) && said > arrivedAt ? said : taken;
    return { by, state, arrivedAt, leaveBy };
  });
}

/** People who are past the time they were to leave, and the grace, and have not checked out. */
export function overduePeople(people: readonly PersonOnSite[], graceMinutes: number, now: number): PersonOnSite[] {
  return people.filter(({ state, leaveBy }) =>
    checkOutOverdue(state, leaveBy === null ? null : leaveBy + graceMinutes * MINUTE_MS, now),
  );
}
