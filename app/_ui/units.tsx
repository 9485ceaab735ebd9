"use client";

import { createContext, type ReactNode, useContext } from "react";
import type { Units } from "@/lib/core/units.ts";
import { distanceText, filmText, rainText, readingIn, sentenceIn, words } from "./format.ts";

const UnitsContext = createContext<Units>("metric");

export function UnitsProvider({ units, children }: { units: Units; children: ReactNode }) {
  return <UnitsContext value={units}>{children}</UnitsContext>;
}

/** The units that who looks at the page set under their own name. */
export const useUnits = () => useContext(UnitsContext);

export function Distance({ km }: { km: number }) {
  return distanceText(km, useUnits());
}

export function Rain({ mm }: { mm: number }) {
  return rainText(mm, useUnits());
}

export function Film({ mm }: { mm: number }) {
  return filmText(mm, useUnits());
}

/** A sentence of the program, which is stored in metric. */
export function Sentence({ says }: { says: string }) {
  return sentenceIn(useUnits(), says);
}

/** A reading as it was written down. */
export function Reading({
  text,
  unit,
  quantity,
}: {
  text: string | number;
  unit: string | null;
  quantity: string | null;
}) {
  return [readingIn(useUnits(), text, unit), quantity ? words(quantity) : ""].filter(Boolean).join(" ");
}
