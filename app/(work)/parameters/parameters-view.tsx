"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { Note } from "@/app/_ui/said.tsx";
import type { ParametersView as View } from "@/lib/reads/parameters-view.ts";
import { LearnedProposal } from "./learned-proposal.tsx";
import { ParameterHistory } from "./parameter-history.tsx";
import { type Edits, ParameterTable } from "./parameter-table.tsx";
import { PreviewAndSave } from "./preview-and-save.tsx";
import type { Proposed } from "./proposed.ts";

export function ParametersView({ view }: { view: View }) {
  const router = useRouter();
  const [edits, setEdits] = useState<Edits>({});
  const [other, setOther] = useState<Proposed | null>(null);
  const [saved, setSaved] = useState<number | null>(null);
  const changes = Object.entries(edits).map(([key, to]) => ({ key, ...to }));
  const edited: Proposed | null =
    changes.length > 0
      ? {
          title: `${changes.length} ${changes.length === 1 ? "row" : "rows"} changed`,
          change: { kind: "edited", changes },
          url: "/api/pages/parameters",
          extra: { changes },
        }
      : null;
  const proposed = other ?? edited;
  const done = (version: number) => {
    setSaved(version);
    setEdits({});
    setOther(null);
    router.refresh();
  };
  return (
    <>
      <h1>Parameters</h1>
      <p className="soft">
        Every number that a diagnosis rests on, with its unit, its spread and where it comes from. In force:{" "}
        <strong>{view.version === 0 ? `the program’s defaults (${view.name})` : `version ${view.version}`}</strong>. A
        change is a new version; nothing is overwritten, and scores are computed anew from it.
      </p>
      <output>
        {saved !== null ? (
          <Note>Version {saved} is saved. Scores are being computed anew; this takes a while.</Note>
        ) : null}
      </output>
      {view.mayEdit ? null : <Note kind="gap">Only an administrator changes parameters.</Note>}
      {proposed ? (
        <PreviewAndSave
          key={proposed.title + JSON.stringify(proposed.change)}
          proposed={proposed}
          parent={view.version}
          sites={view.sites}
          onSaved={done}
          onDrop={() => {
            setOther(null);
            if (!other) setEdits({});
          }}
        />
      ) : null}
      <LearnedProposal view={view} onLook={setOther} />
      <h2>Rows</h2>
      <ParameterTable rows={view.rows} edits={edits} onEdits={setEdits} locked={!view.mayEdit} />
      <h2>History</h2>
      <ParameterHistory view={view} onLook={setOther} />
    </>
  );
}
