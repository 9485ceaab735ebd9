/** Who acts: every read and write carries one, and row-level security and the audit log use it. */
export interface Actor {
  accountId: number;
  person: string;
  role: string;
}

/** Until sign-in exists there is one named person, and the server listens on loopback only. */
export const LOCAL_ACTOR: Actor = { accountId: 1, person: "local", role: "administrator" };
/** The worker and the command line's own recomputation, in the account whose data they compute. */
export const systemActor = (accountId: number): Actor => ({ accountId, person: "raintrip", role: "system" });
