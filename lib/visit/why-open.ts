import type { SignOff } from "./signature.ts";

/**
 * Why a visit that somebody signed is not closed, with what to do; null: it may be closed, or nobody signed.
 * @param stops that stand at the site, each as a sentence
 */
export function whyOpen(signed: SignOff | null, stops: readonly string[]): string | null {
  if (signed === null) return null;
  if (stops.length > 0)
    return `Not closed: a stop stands. ${stops.join(" ")} The signature is kept. Only a low-impedance reading between the same two points by a qualified person lowers the stop; then sign again.`;
  if (!signed.stands)
    return `Signed before the last change: ${signed.says} signed, and something was written since. All of it is kept. Look at it and sign again.`;
  return null;
}
