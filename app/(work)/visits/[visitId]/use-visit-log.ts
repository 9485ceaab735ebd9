"use client";

import { useCallback, useEffect, useRef, useState } from "react";
import { mergeEdits, type VisitEdit } from "@/lib/visit/visit-edits.ts";
import { exchange, type HeldPhoto, sendWaiting, visitLog, writeEdit } from "./visit-log.ts";

const FIRST_WAIT_MS = 2_000;
const LONGEST_WAIT_MS = 300_000;

export interface VisitLog {
  ready: boolean;
  edits: VisitEdit[];
  photos: HeldPhoto[];
  waiting: number;
  trouble: string | null;
  refresh: () => Promise<void>;
  send: () => void;
  write: (item: string, field: string, value: string, by: string) => Promise<void>;
}

/** The phone's own log of a visit, sent whenever there is a network, with growing pauses while there is none. */
export function useVisitLog(visitId: string, siteId: string): VisitLog {
  const [log, setLog] = useState<{ edits: VisitEdit[]; photos: HeldPhoto[]; waiting: number } | null>(null);
  const [trouble, setTrouble] = useState<string | null>(null);
  const send = useRef<() => void>(() => {});
  const refresh = useCallback(async () => setLog(await visitLog(visitId)), [visitId]);

  useEffect(() => {
    let timer: ReturnType<typeof setTimeout> | undefined;
    let failures = 0;
    let again = false;
    let running = false;
    let ended = false;
    const run = async () => {
      if (ended) return;
      again = running;
      if (running) return;
      running = true;
      let pause = LONGEST_WAIT_MS;
      clearTimeout(timer);
      try {
        if (navigator.onLine) {
          await sendWaiting();
          await exchange(visitId, siteId, []);
          failures = 0;
          setTrouble(null);
        }
      } catch (error) {
        pause = Math.min(FIRST_WAIT_MS * 2 ** failures++, LONGEST_WAIT_MS);
        setTrouble((error as Error).message);
      }
      running = false;
      await refresh();
      if (!ended) timer = setTimeout(run, again ? 0 : pause);
    };
    const now = () => {
      failures = 0;
      void run();
    };
    send.current = now;
    window.addEventListener("online", now);
    void refresh().then(run);
    return () => {
      ended = true;
      clearTimeout(timer);
      window.removeEventListener("online", now);
    };
  }, [visitId, siteId, refresh]);

  const write = useCallback(
    async (item: string, field: string, value: string, by: string) => {
      await writeEdit(siteId, { visit_id: visitId, item, field, value, at: Date.now(), by: by.trim() || "not named" });
      await refresh();
      send.current();
    },
    [visitId, siteId, refresh],
  );
  const sendNow = useCallback(() => send.current(), []);
  return {
    ready: log !== null,
    send: sendNow,
    edits: log?.edits ?? [],
    photos: log?.photos ?? [],
    waiting: log?.waiting ?? 0,
    trouble,
    refresh,
    write,
  };
}

/** What one person last said of a field, and what others said otherwise. */
export function fieldOf(edits: readonly VisitEdit[], item: string, field: string, by: string) {
  const values = mergeEdits(edits).find((one) => one.item === item && one.field === field)?.values ?? [];
  const own = values.find((one) => one.by === (by.trim() || "not named"))?.value ?? values[0]?.value ?? "";
  return { own, others: values.filter((one) => one.value !== own) };
}
