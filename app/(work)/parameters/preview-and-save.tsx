"use client";

import { useEffect, useRef, useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { PREVIEW_AND_SAVE } from "@/app/_words/parameters.ts";
import type { PreviewView } from "@/lib/reads/parameters-view.ts";
import { PreviewTable } from "./preview-table.tsx";
import type { Proposed } from "./proposed.ts";

interface Props {
  proposed: Proposed;
  parent: number;
  sites: number;
  onSaved: (version: number) => void;
  onDrop: () => void;
}

interface State {
  done: number;
  total: number;
  fleet: number;
  moved: PreviewView["moved"];
  running: boolean;
}

/** What would move, then a reason, then save. Saving opens once something was compared. */
export function PreviewAndSave({ proposed, parent, sites, onSaved, onDrop }: Props) {
  const [state, setState] = useState<State | null>(null);
  const [trouble, setTrouble] = useState<string | null>(null);
  const [reason, setReason] = useState("");
  const [saving, setSaving] = useState(false);
  const stop = useRef<AbortController | null>(null);
  useEffect(() => () => stop.current?.abort(), []);

  const run = async () => {
    const ending = new AbortController();
    stop.current = ending;
    setTrouble(null);
    let now: State = { done: 0, total: 0, fleet: sites, moved: [], running: true };
    setState(now);
    try {
      do {
        const body = { change: proposed.change, from: now.done };
        const step = await postJson<PreviewView>("/api/pages/parameters/preview", body, ending.signal);
        now = { ...now, ...step, moved: [...now.moved, ...step.moved] };
        setState(now);
      } while (now.done < now.total);
    } catch (error) {
      if (!ending.signal.aborted) setTrouble((error as Error).message);
    }
    if (stop.current === ending) setState({ ...now, running: false });
  };

  const save = async () => {
    setSaving(true);
    setTrouble(null);
    try {
      const { version } = await postJson<{ version: number }>(proposed.url, { ...proposed.extra, parent, reason });
      onSaved(version);
    } catch (error) {
      setTrouble((error as Error).message);
      setSaving(false);
    }
  };

  const looked = sites === 0 || (state !== null && state.done > 0);
  return (
    <section className="panel" aria-label={PREVIEW_AND_SAVE.changeToLookAt}>
      <h2 className="first">{proposed.title}</h2>
      <p className="buttons">
        <button type="button" className="button" onClick={run} disabled={state?.running || sites === 0}>
          {PREVIEW_AND_SAVE.previewWhatWouldMove}
        </button>
        {state?.running ? (
          <button type="button" className="button" onClick={() => stop.current?.abort()}>
            {PREVIEW_AND_SAVE.stop}
          </button>
        ) : null}
        <button type="button" className="button" onClick={onDrop}>
          {PREVIEW_AND_SAVE.dropThisChange}
        </button>
      </p>
      {state ? (
        <>
          <p role="status">
            {PREVIEW_AND_SAVE.ofSitesCompared(
              state.done,
              state.total,
              state.running ? " …" : ".",
              state.fleet > state.total && state.total > 0 ? PREVIEW_AND_SAVE.theyAreSpreadEvenly(state.fleet) : "",
            )}
          </p>
          <progress max={Math.max(1, state.total)} value={state.done} aria-label={PREVIEW_AND_SAVE.sitesCompared} />
        </>
      ) : null}
      <Trouble says={trouble} />
      <div className="filters">
        <label className="wide-field">
          {PREVIEW_AND_SAVE.whyKeptInThe}
          <input type="text" value={reason} maxLength={1000} onChange={(e) => setReason(e.target.value)} />
        </label>
        <button
          type="button"
          className="button main"
          onClick={save}
          disabled={!looked || saving || reason.trim().length < 3}
        >
          {PREVIEW_AND_SAVE.saveAsANew}
        </button>
      </div>
      {looked ? null : <p className="soft">{PREVIEW_AND_SAVE.previewFirstThenIt}</p>}
      {state && state.done > 0 ? <PreviewTable moved={state.moved} /> : null}
    </section>
  );
}
