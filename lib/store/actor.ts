/**
 * Who acts: every read and write carries one. Row-level security, the permission table and the audit log use it; it is set
 * on each transaction (`store/transaction.ts`).
 */
export interface Actor {
  accountId: number;
  /** Name in the audit log: a person's id, or `token:ID`. */
  person: string;
  /** One of ROLES (`core/permissions.ts`), `token`, `link` or `system`. */
  role: string;
  /** Books of sites that an owner or a token is held to; a token without any is held to none. */
  portfolios?: readonly string[] | null;
  /** Crew of a technician, whose visits alone are seen. */
  crewId?: string | null;
  /** The one site that a shared link shows. */
  siteId?: string | null;
  /** What a token may be used for. */
  scopes?: readonly string[];
}

/** Commands on the machine itself: whoever holds the database's credentials may do everything. */
export const LOCAL_ACTOR: Actor = { accountId: 1, person: "local", role: "administrator" };
/** The worker and the command line's own recomputation, in the account whose data they compute. */
export const systemActor = (accountId: number): Actor => ({ accountId, person: "raintrip", role: "system" });
