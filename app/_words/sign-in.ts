/** Signing in, joining by a link, and what is under one's own name. */
export const SIGN_IN = {
  title: "Sign in to Raintrip",
  /** By the reasons of `ProviderProblem`. */
  providerProblems: {
    expired: "That sign-in was begun in another browser, took longer than 10 minutes or was already used. Begin again.",
    refused: "The identity provider did not let you in. Begin again, or sign in by password or passkey.",
    unreachable: "The identity provider did not answer. Try again in a minute, or sign in by password or passkey.",
    not_proven:
      "What the identity provider sent does not prove who you are, so it was not accepted. Begin again; if it stays, ask an administrator to look into the server's log.",
    unverified:
      "The identity provider does not say that your e-mail address is verified, so it opens nothing here. Have it verified there, or sign in by password or passkey.",
    nobody:
      "Nobody here has joined with the e-mail address that the identity provider gave. An administrator invites people; join by that link first.",
    other_identity:
      "This e-mail address belongs to somebody who signs in by another identity of the provider. An administrator can give them a new link.",
    disabled: "This person was disabled in Raintrip. An administrator can let them in again.",
  } as Record<string, string>,
  ownPeople: "With your address and password",
  otherPeople: "People who are not of the demo",
  nobodyYet:
    "Nobody can sign in yet. The server printed a link at its start by which the first administrator sets this installation up; it works once. Start the server again for a new one.",
  demoTitle: "Demo: act as an invented person",
  demo: "The fleet, its weather and these people are invented. Anybody on this machine may act as them, without a password; they are never offered to other machines unless that is switched on.",
  email: "E-mail address",
  password: "Password",
  signIn: "Sign in",
  byPasskey: "With a passkey",
  byProvider: (name: string) => `With ${name}`,
  passkeyRefused: "The passkey was not accepted. Try again, or use your password.",
  lost: "Lost your password, or never had one? An administrator gives you a link that works once.",
} as const;

export const JOIN = {
  title: { set_up: "Set up this installation", invite: "Join Raintrip", recover: "Choose a new password" },
  noLink: "This address holds no link. Open the whole link that you were given.",
  looking: "Looking at the link …",
  for: (name: string | null, role: string) =>
    `${name ? `For ${name}, as ${role}.` : "You become its first administrator."} The link works once.`,
  name: "Your name",
  email: "E-mail address to sign in with",
  password: "Password, 12 characters or more",
  again: "The same password again",
  differ: "The two passwords differ. Type them again.",
  join: "Join and sign in",
  recover: "Set the password and sign in",
  withoutPassword: "Or without a password",
  byProvider: (name: string) => `With ${name}`,
  providerKnows: (email: string | null) =>
    email
      ? `The identity provider has to know you by ${email}, and to have verified it. It then says who you are from now on; what you may do stays with this invitation.`
      : "The e-mail address by which the identity provider knows you, verified there, becomes yours here. It then says who you are from now on; what you may do stays with this invitation.",
  /** By the reasons of `ProviderProblem`. */
  problems: {
    expired:
      "That was begun in another browser, took longer than 10 minutes or was already used. Begin again from the link.",
    refused: "The identity provider did not let you in. Begin again, or choose a password. The link still works.",
    unreachable:
      "The identity provider did not answer. Try again in a minute, or choose a password. The link still works.",
    not_proven:
      "What the identity provider sent does not prove who you are, so it was not accepted. Begin again, or choose a password; if it stays, ask an administrator to look into the server's log.",
    unverified:
      "The identity provider does not say that your e-mail address is verified, so you cannot join by it. Have it verified there, or choose a password. The link still works.",
    other_address:
      "The invitation is for another e-mail address than the one the identity provider gave. Sign in there as who was invited, or ask an administrator for another invitation. The link still works.",
    address_taken:
      "Somebody here signs in already with the e-mail address that the identity provider gave. If that is you, sign in; else ask an administrator.",
    identity_taken:
      "This identity belongs to somebody who has joined already. If that is you, sign in; else sign in to the identity provider as yourself first.",
    link_gone: "This link was used, has expired, or never was. Ask an administrator for a new one.",
    disabled: "This person was disabled in Raintrip. An administrator can let them in again.",
  } as Record<string, string>,
} as const;

export const YOU = {
  role: "Role",
  books: "Books of sites",
  crew: "Crew",
  noneYet: "none yet: ask an administrator",
  signsInAs: "Signs in as",
  demo: "invented person of the demo, without a password",
  units: "Units",
  unitsLabel:
    "Distances, rain, temperatures and wind. Conductor sizes stay as the code states them; files for other programs stay metric.",
  unitsSet: (units: string) => `Units set. ${units}.`,
  sessions: "Where you are signed in",
  passkeys: "Passkeys",
  password: "Password",
  passwordNow: "Password now",
  passwordNew: "New password, 12 characters or more",
  changePassword: "Change the password",
  passwordChanged: "The password was changed, and all your other sessions were ended.",
} as const;

export const CLIENT = {
  thisAddressAndPassword: "This address and password do not go together. Check both and try again.",
  tooManyTriesFrom: "Too many tries from here. Wait a minute.",
  theServerAnswered: (status: number) => `The server answered ${status}.`,
} as const;

export const JOIN_PAGE = {
  join: "Join",
} as const;

export const SIGN_IN_PAGE = {
  signIn: "Sign in",
} as const;
