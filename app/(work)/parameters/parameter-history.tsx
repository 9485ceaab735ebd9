import { Empty } from "@/app/_ui/said.tsx";
import { When } from "@/app/_ui/when.tsx";
import type { ParametersView } from "@/lib/reads/parameters-view.ts";
import { ChangeList } from "./change-list.tsx";
import type { Proposed } from "./proposed.ts";

const KINDS = { edited: "edited", learned: "learned", rolled_back: "rolled back" } as const;
const named = (version: number) => (version === 0 ? "the program’s defaults" : `version ${version}`);

/** Versions, newest first, each with what it changed and a way back. */
export function ParameterHistory({ view, onLook }: { view: ParametersView; onLook: (proposed: Proposed) => void }) {
  const { history, version, mayEdit } = view;
  const back = (to: number) =>
    mayEdit && to !== version ? (
      <button
        type="button"
        className="button"
        onClick={() =>
          onLook({
            title: `Back to ${named(to)}`,
            change: { kind: "rolled_back", to },
            url: "/api/pages/parameters/roll-back",
            extra: { to },
          })
        }
      >
        Go back to {named(to)}
      </button>
    ) : null;
  if (history.length === 0) return <Empty>No version was saved yet: the program’s defaults are in force.</Empty>;
  return (
    <>
      {history.map((line) => (
        <section key={line.version} className="note" aria-label={`Version ${line.version}`} data-version={line.version}>
          <p>
            <strong>
              Version {line.version}, {KINDS[line.kind]}
              {line.restores !== null ? ` to ${named(line.restores)}` : ""}
            </strong>{" "}
            by {line.person}, <When at={line.createdAt} />, from {named(line.parent)}
            {line.version === version ? " · in force" : ""}
          </p>
          <p>{line.reason}</p>
          <details>
            <summary>
              {line.changes.length} {line.changes.length === 1 ? "row differs" : "rows differ"} from{" "}
              {named(line.parent)}
            </summary>
            <ChangeList changes={line.changes} />
          </details>
          {back(line.version)}
        </section>
      ))}
      <p>{back(0)}</p>
    </>
  );
}
