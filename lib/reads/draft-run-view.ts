/** A plan that somebody waits for: how far it is, and what it became. */
export interface DraftRunView {
  runId: string;
  kind: "draft" | "anew" | "rest";
  /** The plan that it is made from; null: a new one. */
  ofPlan: string | null;
  from: string;
  days: number;
  requestedBy: string;
  requestedAt: string;
  /** Asked for by who looks at it. */
  mine: boolean;
  status: "waiting" | "running" | "done" | "cancelled" | "failed";
  /** Who asked to stop and keep the best. */
  stopAskedBy: string | null;
  says: string | null;
  best: { value: number; visits: number; makeSafe: number; crewDays: number; km: number } | null;
  /** At most this share below any other plan; null: not shown yet. */
  gap: number | null;
  step: { stage: "first" | "search" | "bound" | "choice"; done: number; of: number } | null;
  currency: string;
  /** The draft that it became. */
  planId: string | null;
  /** Open runs of the account that come before it. */
  ahead: number;
  /** A process works on the account's plans now. */
  working: boolean;
  workerSeenAt: string | null;
  /** No worker has been heard of: nothing takes the work. */
  silent: boolean;
}
