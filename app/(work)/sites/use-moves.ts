"use client";

import { useQueryClient } from "@tanstack/react-query";
import { useEffect, useRef } from "react";
import { getJson } from "@/app/_ui/get-json.ts";

/** While a long round moves scores all the time the rows are asked for no more often. */
const BETWEEN_ROWS_MS = 1_000;
/** A page that has just come looks now and then: a question that is held open would keep it from ever counting as loaded. */
const NEW_MS = 5_000;
const LOOK_MS = 1_000;
/** Between two questions that are held open there is a moment of quiet, for the same reason. */
const QUIET_MS = 600;
const AFTER_TROUBLE_MS = 5_000;

/**
 * Ask for the rows of the list anew as soon as a score or rank moved: the server answers when one did. A page that nobody looks
 * at does not ask.
 * @param shown the number that came with the rows that are shown
 */
export function useMoves(shown: number | undefined): void {
  const client = useQueryClient();
  const seen = useRef(shown);
  seen.current = shown;
  const isShown = shown !== undefined;
  useEffect(() => {
    if (!isShown) return;
    const ending = new AbortController();
    const { signal } = ending;
    const began = performance.now();
    void (async () => {
      while (!signal.aborted) {
        await untilLookedAt(signal);
        const asking = new AbortController();
        const stop = () => {
          if (signal.aborted || document.hidden) asking.abort();
        };
        document.addEventListener("visibilitychange", stop);
        signal.addEventListener("abort", stop);
        try {
          const isNew = performance.now() - began < NEW_MS;
          const url = `/api/pages/sites/moves${isNew ? "" : `?after=${seen.current}`}`;
          const { moves } = await getJson<{ moves: number }>(url, asking.signal);
          if (moves !== seen.current) {
            await client.invalidateQueries({ queryKey: ["sites"] });
            await pause(BETWEEN_ROWS_MS, signal);
          } else await pause(isNew ? LOOK_MS : QUIET_MS, signal);
        } catch {
          if (!asking.signal.aborted) await pause(AFTER_TROUBLE_MS, signal);
        } finally {
          document.removeEventListener("visibilitychange", stop);
          signal.removeEventListener("abort", stop);
        }
      }
    })();
    return () => ending.abort();
  }, [client, isShown]);
}

const pause = (ms: number, signal: AbortSignal) =>
  new Promise<void>((resolve) => {
    const timer = setTimeout(resolve, ms);
    signal.addEventListener("abort", () => {
      clearTimeout(timer);
      resolve();
    });
  });

const untilLookedAt = (signal: AbortSignal) =>
  new Promise<void>((resolve) => {
    const look = () => {
      if (document.hidden && !signal.aborted) return;
      document.removeEventListener("visibilitychange", look);
      signal.removeEventListener("abort", look);
      resolve();
    };
    document.addEventListener("visibilitychange", look);
    signal.addEventListener("abort", look);
    look();
  });
