/** Signing in, joining by a link, and what is under one's own name. */
export const SIGN_IN = {
  title: "Sign in to Raintrip",
  providerRefused: "The identity provider did not let you in, or nobody here has the address that it gave.",
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
