"use client";

import { type DehydratedState, HydrationBoundary } from "@tanstack/react-query";
import { type ReactNode, useMemo } from "react";

/**
 * HydrationBoundary for a page that brings much: its state comes as JSON text, which is one string to write and to read. As an
 * object every value in it is walked, on the server twice.
 */
export function Hydrated({ text, children }: { text: string; children: ReactNode }) {
  const state = useMemo(() => JSON.parse(text) as DehydratedState, [text]);
  return <HydrationBoundary state={state}>{children}</HydrationBoundary>;
}
