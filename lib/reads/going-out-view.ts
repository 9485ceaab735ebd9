export interface GoingOutView {
  now: string;
  /** Null: no mail server is set. */
  mailFrom: string | null;
  /** What to mend in the settings; null: nothing. */
  wrong: string | null;
  recipients: {
    recipientId: string;
    kind: "email" | "webhook";
    address: string;
    makeSafe: boolean;
    planChanges: boolean;
    quiet: string | null;
    addedBy: string;
  }[];
  log: {
    noticeId: string;
    address: string;
    kind: "make_safe" | "plan_change";
    subject: string;
    state: "waiting" | "sent" | "given_up";
    madeAt: string;
    nextAt: string;
    attempts: number;
    last: string | null;
  }[];
  crews: { crewId: string; name: string }[];
  feeds: { feedId: string; crewId: string; crewName: string; madeBy: string; madeAt: string }[];
}
