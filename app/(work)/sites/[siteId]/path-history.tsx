"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { words } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { When } from "@/app/_ui/when.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import type { PathChangeLine, PathEditView } from "@/lib/reads/path-edit-view.ts";
import { fieldLabel } from "./path-edit-fields.ts";

/** Every change with the value before it; one press sets it back. */
export function PathHistory({ view }: { view: PathEditView }) {
  const router = useRouter();
  const [trouble, setTrouble] = useState<string | null>(null);
  if (view.history.length === 0) return <p className="soft">Nothing of this path was changed by hand yet.</p>;
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
      <h3>Changes by hand</h3>
      <Trouble says={trouble} />
      <Wide label="Changes of the path by hand">
        <table className="path-table" data-table="path-changes">
          <thead>
            <tr>
              <th scope="col">When, who</th>
              <th scope="col">What</th>
              <th scope="col">Before and after</th>
              <th scope="col">Set back</th>
            </tr>
          </thead>
          <tbody>
            {view.history.map((line) => (
              <tr key={line.seq}>
                <td>
                  <When at={line.at} />
                  <br />
                  <span className="soft">{line.person}</span>
                </td>
                <td>
                  {line.what === "site" ? "Site" : `${words(line.what)} ${line.id}`}
                  <br />
                  <span className="soft">{line.reason}</span>
                </td>
                <td>
                  <Values line={line} />
                </td>
                <td>
                  {line.setBack ? (
                    "done"
                  ) : (
                    <button
                      type="button"
                      className="button"
                      aria-label={`Set back change ${line.seq}`}
                      onClick={() => setBack(line.seq)}
                    >
                      Set back
                    </button>
                  )}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </>
  );
}

function Values({ line: { before, after } }: { line: PathChangeLine }) {
  const value = (text: string | null | undefined) => (text ? words(text) : "not recorded");
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
      {before ? "Taken away" : "Added"}:{" "}
      {names.map((name) => `${fieldLabel(name)} ${value((after ?? before)?.[name])}`).join(", ")}
    </>
  );
}
