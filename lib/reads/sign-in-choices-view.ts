/** What the sign-in page offers. */
export interface SignInChoices {
  /** Name of the identity provider; null: there is none. */
  provider: string | null;
  /** False: nobody can sign in yet; the server printed a link at its start. */
  isSetUp: boolean;
  /** People of the demo, as whom anybody on this machine may act. */
  demo: { personId: string; name: string; says: string }[];
}
