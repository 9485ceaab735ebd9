"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { Note } from "@/app/_ui/said.tsx";
import { PARAMETERS_VIEW } from "@/app/_words/parameters.ts";
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
          title: PARAMETERS_VIEW.changed(changes.length, changes.length === 1 ? "row" : "rows"),
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
      <h1>{PARAMETERS_VIEW.parameters}</h1>
      <p className="soft">
        {PARAMETERS_VIEW.everyNumberThatA}{" "}
        <strong>
          {view.version === 0 ? PARAMETERS_VIEW.theProgramsDefaults(view.name) : PARAMETERS_VIEW.version(view.version)}
        </strong>
        {PARAMETERS_VIEW.aChangeIsA}
      </p>
      <output>{saved !== null ? <Note>{PARAMETERS_VIEW.versionIsSavedScores(saved)}</Note> : null}</output>
      {view.mayEdit ? null : <Note kind="gap">{PARAMETERS_VIEW.onlyAnAdministratorChanges}</Note>}
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
      <h2>{PARAMETERS_VIEW.rows}</h2>
      <ParameterTable rows={view.rows} edits={edits} onEdits={setEdits} locked={!view.mayEdit} />
      <h2>{PARAMETERS_VIEW.history}</h2>
      <ParameterHistory view={view} onLook={setOther} />
    </>
  );
}
