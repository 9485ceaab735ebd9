import { Empty } from "@/app/_ui/said.tsx";
import { When } from "@/app/_ui/when.tsx";
import { PARAMETER_HISTORY } from "@/app/_words/parameters.ts";
import type { ParametersView } from "@/lib/reads/parameters-view.ts";
import { ChangeList } from "./change-list.tsx";
import type { Proposed } from "./proposed.ts";

const KINDS = { edited: "edited", learned: "learned", rolled_back: PARAMETER_HISTORY.rolledBack } as const;
const named = (version: number) =>
  version === 0 ? PARAMETER_HISTORY.theProgramsDefaults : PARAMETER_HISTORY.version3(version);

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
            title: PARAMETER_HISTORY.backTo(named(to)),
            change: { kind: "rolled_back", to },
            url: "/api/pages/parameters/roll-back",
            extra: { to },
          })
        }
      >
        {PARAMETER_HISTORY.goBackTo(named(to))}
      </button>
    ) : null;
  if (history.length === 0) return <Empty>{PARAMETER_HISTORY.noVersionWasSaved}</Empty>;
  return (
    <>
      {history.map((line) => (
        <section
          key={line.version}
          className="note"
          aria-label={PARAMETER_HISTORY.version(line.version)}
          data-version={line.version}
        >
          <p>
            <strong>
              {PARAMETER_HISTORY.version2(
                line.version,
                KINDS[line.kind],
                line.restores !== null ? PARAMETER_HISTORY.to(named(line.restores)) : "",
              )}
            </strong>{" "}
            {PARAMETER_HISTORY.by(line.person)} <When at={line.createdAt} />
            {PARAMETER_HISTORY.from(named(line.parent), line.version === version ? PARAMETER_HISTORY.inForce : "")}
          </p>
          <p>{line.reason}</p>
          <details>
            <summary>
              {PARAMETER_HISTORY.from2(
                line.changes.length,
                line.changes.length === 1 ? PARAMETER_HISTORY.rowDiffers : PARAMETER_HISTORY.rowsDiffer,
                named(line.parent),
              )}
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
