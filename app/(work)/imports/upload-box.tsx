"use client";

import { useRouter } from "next/navigation";
import { type DragEvent, useEffect, useRef, useState } from "react";
import { Trouble } from "@/app/_ui/said.tsx";
import { UPLOAD_BOX } from "@/app/_words/imports.ts";
import { PasteRows } from "./paste-rows.tsx";

type State = { kind: "idle" } | { kind: "sending"; share: number } | { kind: "failed"; says: string };

/** Files of a drag, folders opened one level deep. */
async function filesOf(event: DragEvent): Promise<File[]> {
  const entries = [...event.dataTransfer.items]
    .map((item) => item.webkitGetAsEntry())
    .filter((entry) => entry !== null);
  const out: File[] = [];
  for (const entry of entries) {
    if (entry.isFile)
      out.push(await new Promise<File>((resolve, reject) => (entry as FileSystemFileEntry).file(resolve, reject)));
    else out.push(...(await folderFiles(entry as FileSystemDirectoryEntry)));
  }
  return out;
}

async function folderFiles(folder: FileSystemDirectoryEntry): Promise<File[]> {
  const reader = folder.createReader();
  const out: File[] = [];
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((resolve, reject) => reader.readEntries(resolve, reject));
    if (some.length === 0) return out;
    for (const entry of some) {
      if (entry.isFile && !entry.name.startsWith("."))
        out.push(await new Promise<File>((resolve, reject) => (entry as FileSystemFileEntry).file(resolve, reject)));
    }
  }
}

/** XMLHttpRequest rather than fetch: only it tells how much has been sent. */
function send(files: File[], portfolio: string, onShare: (share: number) => void): Promise<string> {
  return new Promise((resolve, reject) => {
    const form = new FormData();
    for (const file of files) form.append("files", file, file.name);
    const request = new XMLHttpRequest();
    request.open("POST", `/api/pages/imports?ask=1${portfolio ? `&portfolio=${encodeURIComponent(portfolio)}` : ""}`);
    request.responseType = "json";
    request.upload.onprogress = (event) => onShare(event.lengthComputable ? event.loaded / event.total : 0);
    request.onload = () =>
      request.status === 202
        ? resolve(request.response.import_id)
        : reject(new Error(request.response?.error?.message ?? UPLOAD_BOX.theUploadWasRefused(request.status)));
    request.onerror = () => reject(new Error(UPLOAD_BOX.theUploadWasCut));
    request.send(form);
  });
}

export function UploadBox({ onDone }: { onDone: () => void }) {
  const router = useRouter();
  const input = useRef<HTMLInputElement>(null);
  const [state, setState] = useState<State>({ kind: "idle" });
  const [portfolio, setPortfolio] = useState("");
  const [over, setOver] = useState(false);
  const start = async (files: File[]) => {
    if (files.length === 0) return;
    setState({ kind: "sending", share: 0 });
    try {
      const importId = await send(files, portfolio, (share) => setState({ kind: "sending", share }));
      onDone();
      router.push(`/imports/${encodeURIComponent(importId)}`);
    } catch (error) {
      setState({ kind: "failed", says: (error as Error).message });
    }
  };
  // Files chosen before this component woke up would otherwise wait for ever.
  const first = useRef(start);
  useEffect(() => {
    const chosen = [...(input.current?.files ?? [])];
    if (chosen.length > 0) first.current(chosen);
  }, []);
  return (
    <section
      className={`drop${over ? " over" : ""}`}
      aria-label={UPLOAD_BOX.uploadADrop}
      onDragOver={(event) => {
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={async (event) => {
        event.preventDefault();
        setOver(false);
        await start(await filesOf(event));
      }}
    >
      <p>{UPLOAD_BOX.dragFilesOrA}</p>
      <label className="field">
        {UPLOAD_BOX.files}
        <input
          ref={input}
          type="file"
          multiple
          accept=".csv,.gz,.tsv,.txt"
          onChange={(event) => start([...(event.target.files ?? [])])}
          disabled={state.kind === "sending"}
        />
      </label>
      <label className="field">
        {UPLOAD_BOX.portfolioForSitesWithout}
        <input type="text" value={portfolio} onChange={(event) => setPortfolio(event.target.value)} />
      </label>
      <PasteRows busy={state.kind === "sending"} onFile={(file) => start([file])} />
      {state.kind === "sending" ? (
        <p role="status">
          {UPLOAD_BOX.sending(Math.floor(state.share * 100))}{" "}
          <progress value={state.share} max={1} aria-label={UPLOAD_BOX.progressOfTheUpload} />
        </p>
      ) : null}
      <Trouble says={state.kind === "failed" ? state.says : null} />
    </section>
  );
}
