"use client";

import { createContext, type ReactNode, useCallback, useContext, useEffect, useState } from "react";
import { SHARED } from "@/app/_words/shared.ts";

/** Long enough to be read twice (common practice, no source); it stays while the pointer or the focus is on it. */
const SHOWN_MS = 8_000;

const SayContext = createContext<(says: string) => void>(() => {});

/** Says at the edge of the screen that something was done, wherever on the page one is. Trouble is said beside its cause instead. */
export const useSay = () => useContext(SayContext);

export function ToastProvider({ children }: { children: ReactNode }) {
  const [says, setSays] = useState("");
  const [isHeld, setHeld] = useState(false);
  const say = useCallback((text: string) => setSays(text), []);
  useEffect(() => {
    if (!says || isHeld) return;
    const timer = setTimeout(() => setSays(""), SHOWN_MS);
    return () => clearTimeout(timer);
  }, [says, isHeld]);
  return (
    <SayContext value={say}>
      {children}
      <div className="toast-place no-print" role="status">
        {says ? (
          <p
            className="toast"
            onPointerEnter={() => setHeld(true)}
            onPointerLeave={() => setHeld(false)}
            onFocus={() => setHeld(true)}
            onBlur={() => setHeld(false)}
          >
            {says}{" "}
            <button type="button" className="link-button" onClick={() => setSays("")}>
              {SHARED.closeMessage}
            </button>
          </p>
        ) : null}
      </div>
    </SayContext>
  );
}
