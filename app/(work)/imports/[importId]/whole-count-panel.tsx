"use client";

import { useEffect, useState } from "react";
import { Trouble } from "@/app/_ui/said.tsx";
import { MAPPING } from "@/app/_words/mapping.ts";
import type { Mapping, WholeCount } from "@/lib/reads/import-mapping-view.ts";
import { ReasonsTable } from "./reasons-table.tsx";

const number = (n: number) => n.toLocaleString("en-US");

/** Read the answer line by line, each told as it comes. */
async function follow(reply: Response, tell: (count: WholeCount) => void): Promise<void> {
  const reader = reply.body?.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    const piece = await reader?.read();
    if (!piece || piece.done) return;
    const lines = (rest + piece.value).split("\n");
    rest = lines.pop() ?? "";
    const last = lines.at(-1);
    if (last) tell(JSON.parse(last) as WholeCount);
  }
}

/** What would come of the whole file, counted in the background while somebody looks at its beginning. */
export function WholeCountPanel({ base, file, mapping }: { base: string; file: string; mapping: Mapping }) {
  const [count, setCount] = useState<WholeCount | null>(null);
  const [trouble, setTrouble] = useState<string | null>(null);
  const [stopped, setStopped] = useState<string | null>(null);
  const asked = JSON.stringify({ file, mapping });
  const off = stopped === asked;
  useEffect(() => {
    setCount(null);
    setTrouble(null);
    if (off) return;
    const stop = new AbortController();
    const run = async () => {
      const headers = { "content-type": "application/json" };
      const reply = await fetch(`${base}/whole`, { method: "POST", headers, body: asked, signal: stop.signal });
      if (!reply.ok) throw new Error(MAPPING.notCounted);
      await follow(reply, setCount);
    };
    run().catch(() => {
      if (!stop.signal.aborted) setTrouble(MAPPING.notCounted);
    });
    return () => stop.abort();
  }, [base, asked, off]);
  if (trouble) return <Trouble says={trouble} />;
  if (off)
    return (
      <p>
        {MAPPING.countStopped}{" "}
        <button type="button" className="button" onClick={() => setStopped(null)}>
          {MAPPING.countAgain}
        </button>
      </p>
    );
  if (!count?.done)
    return (
      <p>
        {MAPPING.counting(number(count?.rows ?? 0))}{" "}
        <progress value={count?.share ?? 0} max={1} aria-label={MAPPING.countProgress} />{" "}
        <button type="button" className="button" onClick={() => setStopped(asked)}>
          {MAPPING.countStop}
        </button>
      </p>
    );
  return (
    <>
      <p role="status">
        {MAPPING.ofWhole(number(count.rows), number(count.rows - count.setAside), number(count.setAside))}
      </p>
      {count.reasons.length > 0 ? <ReasonsTable label={MAPPING.whyInWhole} reasons={count.reasons} /> : null}
    </>
  );
}
