"use client";

import { useCallback, useEffect, useRef, useState } from "react";
import type { VisitEdit } from "@/lib/visit/visit-edits.ts";
import { type NotTaken, sendEdits } from "./visit-log.ts";

const AGAIN_MS = 5_000;

/** Edits that the phone's store refused or did not answer for: sent straight from the page while it is open. */
export function useUnkept(visitId: string, siteId: string) {
  const held = useRef(new Map<string, VisitEdit>());
  const [waiting, setWaiting] = useState(0);
  const [notTaken, setNotTaken] = useState<NotTaken[] | null>(null);
  const send = useCallback(async () => {
    if (held.current.size === 0 || !navigator.onLine) return;
    try {
      const said = await sendEdits(visitId, siteId, [...held.current.values()].slice(0, 200));
      for (const id of said.received) held.current.delete(id);
      setNotTaken(said.notTaken);
    } catch {
      // They go on waiting; the page says how many.
    }
    setWaiting(held.current.size);
  }, [visitId, siteId]);
  useEffect(() => {
    const timer = setInterval(send, AGAIN_MS);
    return () => clearInterval(timer);
  }, [send]);
  const add = useCallback(
    (edit: VisitEdit) => {
      held.current.set(edit.edit_id, edit);
      setWaiting(held.current.size);
      void send();
    },
    [send],
  );
  return { waiting, notTaken, add };
}
