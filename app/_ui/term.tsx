import Link from "next/link";
import type { ReactNode } from "react";
import { GLOSSARY } from "@/app/_words/glossary.ts";
import { TERM } from "@/app/_words/ui.ts";

/** A word with its meaning: on hover, and in full in the glossary. @throws RangeError for an id that the glossary lacks */
export function Term({ id, children }: { id: string; children: ReactNode }) {
  const term = GLOSSARY.find((t) => t.id === id);
  if (!term) throw new RangeError(TERM.theGlossaryHasNo(id));
  return (
    <Link href={`/glossary#${id}`} className="term" title={term.says} prefetch={false}>
      {children}
    </Link>
  );
}
