"use client";

import { useEffect, useState } from "react";
import { flushSync } from "react-dom";

/** Colours by meaning, resolved: a canvas cannot read custom properties. */
export interface Tokens {
  ink: string;
  soft: string;
  line: string;
  water: string;
  fault: string;
  for: string;
  against: string;
}

const NAMES: Record<keyof Tokens, string> = {
  ink: "--ink",
  soft: "--ink-soft",
  line: "--line",
  water: "--water",
  fault: "--fault",
  for: "--for",
  against: "--against",
};
const NONE: Tokens = { ink: "", soft: "", line: "", water: "", fault: "", for: "", against: "" };

function read(): Tokens {
  const style = getComputedStyle(document.documentElement);
  return Object.fromEntries(
    Object.entries(NAMES).map(([key, name]) => [key, style.getPropertyValue(name).trim()]),
  ) as unknown as Tokens;
}

/** The tokens of the scheme in force; empty until the browser has it. Follows a change between light, dark and print. */
export function useTokens(): Tokens {
  const [tokens, setTokens] = useState(NONE);
  useEffect(() => {
    const update = () => setTokens(read());
    update();
    const dark = matchMedia("(prefers-color-scheme: dark)");
    dark.addEventListener("change", update);
    // The page is printed as soon as the listeners have run, so the charts are drawn anew inside of this one.
    const print = matchMedia("print");
    const updateNow = () => flushSync(update);
    print.addEventListener("change", updateNow);
    return () => {
      dark.removeEventListener("change", update);
      print.removeEventListener("change", updateNow);
    };
  }, []);
  return tokens;
}
