import { URGENCY } from "@/app/_words/shared.ts";
import type { Urgency as UrgencyName } from "@/lib/reads/documents.ts";

const SHAPES: Record<UrgencyName, string> = {
  make_safe: "M8 0 L16 8 L8 16 L0 8 Z M7 4 h2 v5 h-2 z M7 10.5 h2 v2 h-2 z",
  urgent: "M8 1 L16 15 H0 Z",
  planned: "M2 2 H14 V14 H2 Z",
  watch: "M8 2 a6 6 0 1 0 0.01 0 Z M8 4 a4 4 0 1 1 -0.01 0 Z",
};
export const URGENCY_WORDS: Record<UrgencyName, string> = URGENCY;

/** Urgency as word, shape and safety colour together, so that none of them carries it alone. */
export function Urgency({ value }: { value: UrgencyName }) {
  return (
    <span className={`urgency ${value}`}>
      <svg viewBox="0 0 16 16" aria-hidden="true">
        <path d={SHAPES[value]} fill="currentColor" fillRule="evenodd" />
      </svg>
      {URGENCY_WORDS[value]}
    </span>
  );
}
