/** Words of access, by the file that shows them: what one does not show is not sent to its browser. */

export const AUDIT_LOG_VIEW = {
  auditLog: "Audit log",
  whoChangedWhatAnd:
    "Who changed what, and who saw what says more than it should to everybody. Nobody can change or delete an entry, administrators neither. A look at the same thing is entered once in ten minutes.",
  allOfItAs: "All of it as CSV",
  allOfItAsJson: "All of it as JSON lines",
  entries: "Entries",
  when: "When",
  who: "Who",
  what: "What",
  ofWhat: "Of what",
  detail: "Detail",
  noEntryFitsThese: "No entry fits these filters.",
  olderEntries: "Older entries",
  entriesEachHoldsThe: (entries: string) =>
    `${entries} entries; each holds the hash of the one before, and the chain is whole.`,
  theChainOfHashes: (firstBroken: number) =>
    `The chain of hashes breaks at entry ${firstBroken}: somebody with the rights of the database itself changed or removed entries. Keep a copy of the database as it is, and compare with a backup.`,
  anybody: "anybody",
  anything: "anything",
  show: "Show",
  no: "No.",
} as const;

export const AUDIT_PAGE = {
  auditLog: "Audit log",
} as const;

export const INVITE_FORM = {
  email: "E-mail address, if only its owner may join",
  emailHint: "Who joins by an identity provider has to be known there by this address, verified.",
  isOnRecord: (name: string) => `${name} is on record.`,
  makeTheLink: "Make the link",
} as const;

export const PEOPLE_PAGE = {
  people: "People",
} as const;

export const PEOPLE_VIEW = {
  theNewPerson: "the new person",
  people: "People",
  whoMaySignIn:
    "Who may sign in, and what each sees. A role says what somebody may do; books of sites and crews say where. The database itself holds everybody to that.",
  giveThisLinkTo: (personId: string, hours: number) =>
    `Give this link to ${personId}. It works once, for ${hours} hours, and is not shown again. Whoever has it can use it.`,
  link: "Link",
  inviteSomebody: "Invite somebody",
  nobodyIsOnRecord: "Nobody is on record yet.",
} as const;

export const PERSON_CARD = {
  sessions: (n: number) => `Sessions: ${n}.`,
  of: (portfolios: string) => ` of ${portfolios}`,
  ofCrew: (crewId: string) => ` of crew ${crewId}`,
  disabledCannotSignIn: ". Disabled: cannot sign in.",
  change: (name: string) => `Change ${name}`,
  wasChanged: (name: string) => `${name} was changed.`,
  save: "Save",
  aNewLinkFor: (name: string) => `A new link for ${name}; earlier ones no longer work.`,
  linkForANew: "Link for a new password",
  newLinkToJoin: "New link to join",
  maySignInAgain: (name: string) => `${name} may sign in again.`,
  wasShutOutAnd: (name: string) => `${name} was shut out and signed out.`,
  letInAgain: "Let in again",
  disable: "Disable",
  aLinkWaitsUntil: (linkUntil: string) => ` A link waits until ${linkUntil}.`,
  inventedPersonOfThe: (sessions: number) =>
    `Invented person of the demo; anybody on this machine may act so. Sessions: ${sessions}.`,
  theLinkHasRun: " The link has run out: make another.",
  invitedAs: (email: string) => ` Only ${email} may join.`,
  hasNotJoinedYet: (link: string) => `Has not joined yet.${link}`,
  lastSignedIn: (lastSignIn: string) => `last signed in ${lastSignIn}`,
  noSessionOnRecord: "no session on record",
} as const;

export const SCOPE_FIELDS = {
  name: "Name",
  role: "Role",
  booksOfSites: "Books of sites",
  thereAreNoneYet: "There are none yet: import sites first.",
  crew: "Crew",
  chooseOne: "choose one",
} as const;

export const TOKENS_PAGE = {
  tokens: "Tokens",
} as const;

export const TOKEN_FORM = {
  readScoresQueuePlan: "read scores, queue, plan and weather",
  sendImportsAndSee: "send imports and see how they went",
  whatUsesIt: "What uses it",
  itMay: "It may",
  worksForDays: "Works for, days",
  heldToTheseBooks: "Held to these books of sites (none chosen: all)",
  makeTheToken: "Make the token",
} as const;

export const TOKENS_VIEW = {
  theTokenWasMade: "The token was made.",
  theTokenNoLonger: "The token no longer works.",
  tokens: "Tokens",
  forProgramsThatUse: "For programs that use the HTTP API (",
  itsDescription: "its description",
  onlyAHashOf: "). Only a hash of a token is stored.",
  copyItNowIt: "Copy it now; it is not shown again. Whoever has it can use it.",
  token: "Token",
  makeAToken: "Make a token",
  noTokenWasMade: "No token was made yet. Without one, only signed-in people use the API.",
  name: "Name",
  may: "May",
  heldTo: "Held to",
  allBooks: "all books",
  made: "Made",
  by: (madeBy: string) => `by ${madeBy}`,
  works: "Works",
  until: "until",
  revoked: "revoked",
  endIt: "End it",
  revoke: (name: string) => `Revoke ${name}`,
  revoke2: (name: string | undefined) => `Revoke ${name}?`,
  keepIt: "Keep it",
  revokeIt: "Revoke it",
  everyProgramThatUses:
    "Every program that uses it is refused from now on. It cannot be made to work again; make a new one instead.",
  expired: "expired",
} as const;
