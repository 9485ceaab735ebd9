// Addresses as they may be written down: without what lets somebody in.

/** Addresses whose next part is a secret of its own. */
const SECRET_PART = /\/(calendar|shared)\/[^/?#\s"]+/g;

/** An address without its query, which may hold codes of a sign-in or what somebody searched for, and without secret links. */
export function plainPath(address) {
  return String(address).split(/[?#]/, 1)[0].replace(SECRET_PART, "/$1/…");
}
