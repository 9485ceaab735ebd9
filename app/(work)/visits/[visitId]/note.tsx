"use client";

import { useState } from "react";
import { NOTE } from "@/app/_words/visit.ts";
import { fieldOf, type VisitLog } from "./use-visit-log.ts";
import type { Worker } from "./worker-fields.tsx";

interface NoteProps {
  itemId: string;
  field: string;
  label: string;
  log: VisitLog;
  worker: Worker;
}
/** A text that is kept when it is left. */
export function Note({ itemId, field, label, log, worker }: NoteProps) {
  const { own, others } = fieldOf(log.edits, itemId, field, worker.name);
  const [typed, setTyped] = useState<string | null>(null);
  const leave = () => {
    if (typed !== null && typed !== own) void log.write(itemId, field, typed, worker.name).then(() => setTyped(null));
  };
  return (
    <>
      <label>
        {label}
        <textarea rows={2} value={typed ?? own} onChange={(event) => setTyped(event.target.value)} onBlur={leave} />
      </label>
      <Others values={others} />
    </>
  );
}

/** What others wrote otherwise in the same place. */
export function Others({ values }: { values: { by: string; value: string }[] }) {
  return values.map((one) => (
    <p key={one.by} className="note danger">
      {NOTE.wroteOtherwiseBothAre(one.by, one.value || NOTE.nothing)}
    </p>
  ));
}
