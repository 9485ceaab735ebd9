import { CONTRACT_GOVERNS } from "@/lib/reads/coverage-view.ts";

/** On every page about contracts. */
export function Governs() {
  return <p className="note">{CONTRACT_GOVERNS}</p>;
}
