/** What the page of people shows. Times are ISO 8601. */
export interface PeopleView {
  people: PersonLine[];
  /** Books that an owner can be held to. */
  portfolios: string[];
  crews: { crewId: string; name: string }[];
}

export interface PersonLine {
  personId: string;
  name: string;
  role: string;
  portfolios: string[];
  crewId: string | null;
  isDemo: boolean;
  isSelf: boolean;
  disabledAt: string | null;
  /** Null: invited, has not joined yet. */
  email: string | null;
  /** Address that the invitation is for; null: for whoever has the link. */
  invitedEmail: string | null;
  sessions: number;
  lastSignIn: string | null;
  /** Until when a link of this person can be used; null: there is none. */
  linkUntil: string | null;
}
