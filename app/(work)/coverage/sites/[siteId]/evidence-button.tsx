"use client";

import { useRef, useState } from "react";
import { Trouble } from "@/app/_ui/said.tsx";
import { EVIDENCE_BUTTON } from "@/app/_words/coverage.ts";

type State =
  | { kind: "idle" }
  | { kind: "busy"; bytes: number }
  | { kind: "done"; bytes: number }
  | { kind: "failed"; says: string };

const megabytes = (bytes: number) => `${(bytes / 1e6).toFixed(1)} MB`;

/**
 * Read a file as it streams in.
 * @throws Error with the server's own sentence
 */
async function receive(
  siteId: string,
  signal: AbortSignal,
  onBytes: (bytes: number) => void,
): Promise<{ name: string; file: Blob }> {
  const reply = await fetch(`/api/pages/sites/${encodeURIComponent(siteId)}/evidence`, { method: "POST", signal });
  if (!reply.ok || !reply.body) {
    const said = (await reply.json().catch(() => null)) as { error?: { message?: string } } | null;
    throw new Error(said?.error?.message ?? EVIDENCE_BUTTON.theServerAnswered(reply.status));
  }
  const name = /filename="([^"]+)"/.exec(reply.headers.get("content-disposition") ?? "")?.[1] ?? "evidence.zip";
  let bytes = 0;
  const counted = reply.body.pipeThrough(
    new TransformStream<Uint8Array, Uint8Array>({
      transform(chunk, out) {
        bytes += chunk.length;
        onBytes(bytes);
        out.enqueue(chunk);
      },
    }),
  );
  return { name, file: await new Response(counted).blob() };
}

function save(name: string, file: Blob): void {
  const url = URL.createObjectURL(file);
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** Makes the evidence file and saves it. A plain form would send no origin, which the server refuses. */
export function EvidenceButton({ siteId }: { siteId: string }) {
  const [state, setState] = useState<State>({ kind: "idle" });
  const running = useRef<AbortController | null>(null);
  const make = async () => {
    const control = new AbortController();
    running.current = control;
    setState({ kind: "busy", bytes: 0 });
    try {
      const { name, file } = await receive(siteId, control.signal, (bytes) => setState({ kind: "busy", bytes }));
      save(name, file);
      setState({ kind: "done", bytes: file.size });
    } catch (error) {
      setState(control.signal.aborted ? { kind: "idle" } : { kind: "failed", says: (error as Error).message });
    }
  };
  return (
    <div className="no-print">
      <p className="soft">{EVIDENCE_BUTTON.oneZipASummary}</p>
      <div className="buttons">
        <button type="button" className="button main" disabled={state.kind === "busy"} onClick={make}>
          {EVIDENCE_BUTTON.downloadTheEvidenceFile}
        </button>
        {state.kind === "busy" ? (
          <button type="button" className="button" onClick={() => running.current?.abort()}>
            {EVIDENCE_BUTTON.cancel}
          </button>
        ) : null}
      </div>
      <p role="status" className="soft">
        {state.kind === "busy"
          ? state.bytes === 0
            ? EVIDENCE_BUTTON.itIsBeingMade
            : EVIDENCE_BUTTON.receiving(megabytes(state.bytes))
          : ""}
        {state.kind === "done" ? EVIDENCE_BUTTON.saved(megabytes(state.bytes)) : ""}
      </p>
      <Trouble says={state.kind === "failed" ? state.says : null} />
    </div>
  );
}
