"use client";

import { useCallback, useEffect, useRef, useState } from "react";
import { USE_VISIT_LOG } from "@/app/_words/visit.ts";
import { NOT_NAMED, type VisitEdit } from "@/lib/visit/visit-edits.ts";
import { mergedVisit } from "@/lib/visit/visit-records.ts";
import { useUnkept } from "./use-unkept.ts";
import { exchange, type KeptLog, sendWaiting, visitLog, writeEdit } from "./visit-log.ts";

const FIRST_WAIT_MS = 2_000;
const LONGEST_WAIT_MS = 300_000;
/** A store that has not answered by now is taken for one that keeps nothing. */
const STORE_WAIT_MS = 3_000;
const NOTHING: KeptLog = { edits: [], photos: [], waiting: 0, notTaken: [], whyOpen: null };

export interface VisitLog extends KeptLog {
  ready: boolean;
  trouble: string | null;
  /** Edits that the phone's store refused; they live in this page only. */
  unkept: number;
  refresh: () => Promise<void>;
  send: () => void;
  /** An edit by this page, not yet in the log. */
  compose: (item: string, field: string, value: string, by: string) => VisitEdit;
  /** Into what is seen on this page, at once and without any store. */
  raise: (edit: VisitEdit) => void;
  /** Raise it, keep it on the phone and send it. Never throws: what the phone refuses is sent from the page. */
  keep: (edit: VisitEdit) => Promise<void>;
  write: (item: string, field: string, value: string, by: string) => Promise<void>;
}

/** The phone's own log of a visit, sent whenever there is a network, with growing pauses while there is none. */
export function useVisitLog(visitId: string, siteId: string): VisitLog {
  const [log, setLog] = useState<KeptLog | null>(null);
  const [raised, setRaised] = useState<ReadonlyMap<string, VisitEdit>>(new Map());
  const [trouble, setTrouble] = useState<string | null>(null);
  const unkept = useUnkept(visitId, siteId);
  const send = useRef<() => void>(() => {});
  const page = useRef({ device: "", seq: 0 });
  /** Edits on their way into the phone's store: they show at once, and wait like those in it. */
  const [keeping, setKeeping] = useState(0);
  const refresh = useCallback(
    async (kept = 0) => {
      const read = await visitLog(visitId).catch(() => null);
      setLog((before) => read ?? before ?? NOTHING);
      setKeeping((n) => n - kept);
    },
    [visitId],
  );
  useEffect(() => startSending({ visitId, siteId, refresh, setTrouble, send }), [visitId, siteId, refresh]);

  const compose = useCallback(
    (item: string, field: string, value: string, by: string): VisitEdit => {
      page.current.device ||= `page-${crypto.randomUUID()}`;
      const { device } = page.current;
      const seq = ++page.current.seq;
      const written = { item, field, value, at: Date.now(), by: by.trim() || NOT_NAMED };
      return { edit_id: crypto.randomUUID(), visit_id: visitId, ...written, device, seq };
    },
    [visitId],
  );
  const raise = useCallback((edit: VisitEdit) => setRaised((held) => new Map(held).set(edit.edit_id, edit)), []);
  const { add } = unkept;
  const keep = useCallback(
    async (edit: VisitEdit) => {
      raise(edit);
      setKeeping((n) => n + 1);
      const isKept = await within(STORE_WAIT_MS, writeEdit(siteId, edit)).then(
        () => true,
        () => false,
      );
      if (isKept) await refresh(1);
      else {
        add(edit);
        setKeeping((n) => n - 1);
      }
      send.current();
    },
    [siteId, refresh, raise, add],
  );
  const write = useCallback<VisitLog["write"]>((...what) => keep(compose(...what)), [keep, compose]);
  const sendNow = useCallback(() => send.current(), []);
  const refreshNow = useCallback(() => refresh(), [refresh]);
  const kept = log ?? NOTHING;
  return {
    ...{ ready: log !== null, send: sendNow, refresh: refreshNow, compose, raise, keep, write, trouble },
    edits: seenEdits(kept.edits, raised),
    photos: kept.photos,
    waiting: kept.waiting + unkept.waiting + keeping,
    unkept: unkept.waiting,
    notTaken: unkept.notTaken ?? kept.notTaken,
    whyOpen: kept.whyOpen,
  };
}

/** What the store holds goes before what the page raised: it has the phone's own order. */
function seenEdits(kept: readonly VisitEdit[], raised: ReadonlyMap<string, VisitEdit>): VisitEdit[] {
  const seen = new Map(raised);
  for (const edit of kept) seen.set(edit.edit_id, edit);
  return [...seen.values()];
}

function within<T>(ms: number, work: Promise<T>): Promise<T> {
  const late = new Promise<never>((_, reject) =>
    setTimeout(() => reject(new Error(USE_VISIT_LOG.theStoreDoesNot)), ms),
  );
  return Promise.race([work, late]);
}

interface Sending {
  visitId: string;
  siteId: string;
  refresh: () => Promise<void>;
  setTrouble: (trouble: string | null) => void;
  send: { current: () => void };
}

function startSending({ visitId, siteId, refresh, setTrouble, send }: Sending): () => void {
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
}

/** What one person last said of a field, and what others said otherwise. */
export function fieldOf(edits: readonly VisitEdit[], item: string, field: string, by: string) {
  const merged = mergedVisit(edits).find((one) => one.item === item && one.field === field);
  const values = merged?.values ?? [];
  const own = values.find((one) => one.by === (by.trim() || NOT_NAMED))?.value ?? values[0]?.value ?? "";
  return { own, others: values.filter((one) => one.value !== own), decided: merged?.resolved ?? null };
}
