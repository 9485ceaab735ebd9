/** Words of you, by the file that shows them: what one does not show is not sent to its browser. */

export const YOU_PAGE = {
  you: "You",
} as const;

export const PASSKEY_PANEL = {
  yourPasskeysCouldNot: "Your passkeys could not be read. Load the page again.",
  noPasskeyWasMade: "No passkey was made.",
  thePasskeyWasAdded: "The passkey was added.",
  thePasskeyWasRemoved: "The passkey was removed; it no longer signs you in.",
  youHaveNoneA: "You have none. A passkey signs you in without typing anything.",
  passkey: "passkey",
  remove: (name: string) => `Remove ${name}`,
  nameOfThisDevice: "Name of this device",
  addAPasskey: "Add a passkey",
  thisBrowserOrThis: "This browser, or this address, does not offer passkeys.",
} as const;

export const SESSION_TABLE = {
  aSessionEndsDays: "A session ends 14 days after it began, or at once when you end it here.",
  yourSessions: "Your sessions",
  browser: "Browser",
  from: "From",
  notKnown: "not known",
  since: "Since",
  endsByItself: "Ends by itself",
  endIt: "End it",
  thisOneUseSign: "this one: use Sign out",
  theSessionWasEnded: "The session was ended.",
  end: "End",
  allOtherSessionsWere: "All other sessions were ended.",
  endAllOthers: (others: number) => `End all ${others} others`,
  browserOn: (system: string) => `browser on ${system}`,
} as const;
