import type { ReactNode } from "react";

/** A table that may be wider than the screen: it scrolls by itself, also from the keyboard. */
export function Wide({ label, children }: { label: string; children: ReactNode }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that scrolls must be reachable by keyboard (axe: scrollable-region-focusable)
    <section className="scroll" aria-label={label} tabIndex={0}>
      {children}
    </section>
  );
}
