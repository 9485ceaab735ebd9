import { Note } from "@/app/_ui/said.tsx";
import { CONTRACT_GOVERNS } from "@/lib/reads/coverage-view.ts";

/** On every page about contracts. */
export function Governs() {
  return <Note>{CONTRACT_GOVERNS}</Note>;
}
