"use client";

import { type ReactNode, useId, useState } from "react";
import { ON_PHONE } from "@/app/_words/ui.ts";
import { Wide } from "./wide.tsx";

/** A table some rows of which (class `later`) a phone shows when asked; a desk and a print show all of it. */
export function ShortOnPhone({ label, children }: { label: string; children: ReactNode }) {
  return (
    <Shortened label={label}>
      <Wide label={label}>{children}</Wide>
    </Shortened>
  );
}

/** The same for a list. */
export function Shortened({ label, children }: { label: string; children: ReactNode }) {
  const [isAll, setAll] = useState(false);
  const id = useId();
  return (
    <div id={id} data-short={!isAll}>
      {children}
      <p className="only-phone">
        <button
          type="button"
          className="button"
          aria-expanded={isAll}
          aria-controls={id}
          onClick={() => setAll((now) => !now)}
        >
          {isAll ? ON_PHONE.fewerRows : ON_PHONE.allRows}
          <span className="visually-hidden">: {label}</span>
        </button>
      </p>
    </div>
  );
}
