"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { words } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import { PATH_HISTORY } from "@/app/_words/site-path.ts";
import type { PathChangeLine, PathEditView } from "@/lib/reads/path-edit-view.ts";
import { fieldLabel } from "./path-edit-fields.ts";

/** Every change with the value before it; one press sets it back. */
export function PathHistory({ view }: { view: PathEditView }) {
  const router = useRouter();
  const [trouble, setTrouble] = useState<string | null>(null);
  if (view.history.length === 0) return <p className="soft">{PATH_HISTORY.nothingOfThisPath}</p>;
  const setBack = async (seq: number) => {
    setTrouble(null);
    try {
      await postJson(`/api/pages/sites/${encodeURIComponent(view.siteId)}/path/undo`, { seq });
      router.refresh();
    } catch (error) {
      setTrouble((error as Error).message);
    }
  };
  return (
    <>
      <h3>{PATH_HISTORY.changesByHand}</h3>
      <Trouble says={trouble} />
      <Table
        label={PATH_HISTORY.changesOfThePath}
        className="path-table"
        data={{ "data-table": "path-changes" }}
        columns={[
          {
            name: PATH_HISTORY.whenWho,
            cell: (line) => (
              <>
                <When at={line.at} />
                <br />
                <span className="soft">{line.person}</span>
              </>
            ),
          },
          {
            name: PATH_HISTORY.what,
            label: "",
            cell: (line) => (
              <>
                {line.what === "site" ? PATH_HISTORY.site : `${words(line.what)} ${line.id}`}
                <br />
                <span className="soft">{line.reason}</span>
              </>
            ),
          },
          { name: PATH_HISTORY.beforeAndAfter, label: "", cell: (line) => <Values line={line} /> },
          {
            name: PATH_HISTORY.setBack,
            label: "",
            cell: (line) =>
              line.setBack ? (
                PATH_HISTORY.done
              ) : (
                <button
                  type="button"
                  className="button"
                  aria-label={PATH_HISTORY.setBackChange(line.seq)}
                  onClick={() => setBack(line.seq)}
                >
                  {PATH_HISTORY.setBack}
                </button>
              ),
          },
        ]}
        rows={view.history}
        keyOf={(line) => line.seq}
      />
    </>
  );
}

function Values({ line: { before, after } }: { line: PathChangeLine }) {
  const value = (text: string | null | undefined) => (text ? words(text) : PATH_HISTORY.notRecorded);
  const names = Object.keys(after ?? before ?? {}).filter((name) => (before ?? after)?.[name] || after?.[name]);
  const changed = Object.keys(after ?? before ?? {});
  if (before && after)
    return changed.map((name) => (
      <span key={name}>
        {fieldLabel(name)}: {value(before[name])} → {value(after[name])}
        <br />
      </span>
    ));
  return (
    <>
      {before ? PATH_HISTORY.takenAway : PATH_HISTORY.added}:{" "}
      {names.map((name) => `${fieldLabel(name)} ${value((after ?? before)?.[name])}`).join(", ")}
    </>
  );
}
