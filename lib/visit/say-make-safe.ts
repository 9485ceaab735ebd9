import type { MakeSafeEvent } from "./make-safe-state.ts";

const words = (name: string) => name.replaceAll("_", " ");

/** What happened, in a sentence without name and time. */
export function sayMakeSafeEvent(event: MakeSafeEvent): string {
  switch (event.kind) {
    case "alert":
      return "The alert went out.";
    case "acknowledged":
      return "Has it.";
    case "owner_told":
      return `Told ${event.whom} by ${event.means} to keep people off and not to reset.`;
    case "isolated":
      return `Isolated and locked, lock ${event.lock}. AC and inverter current only: it stays live in light.`;
    case "repaired":
      return `Repaired: ${words(event.cause)}. ${event.action}`;
    case "tested": {
      const surface = event.surface === "wet" ? "" : " Not wet: test it wet when that can be done.";
      return `Tested with the surface ${event.surface}: continuity ${event.continuity}, insulation ${event.insulation}.${surface}`;
    }
    case "authorised":
      return `Authorised re-energising, licence ${event.licence}.`;
    case "watched":
      return "The repairs are known to have held: the watch is over.";
    case "hazard":
      return `A further hazard: ${event.says} The repair has to come again.`;
    case "escalated":
      return `Did not answer: ${event.unanswered}. ${event.asked ? `Asked next: ${event.asked}.` : "Nobody is left to ask."}`;
    case "released":
      return `Released by hand: ${event.reason}${event.licence ? `, licence ${event.licence}` : ""}`;
  }
}
