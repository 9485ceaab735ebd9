import { Empty, Note } from "@/app/_ui/said.tsx";
import type { ParametersView } from "@/lib/reads/parameters-view.ts";
import { ChangeList } from "./change-list.tsx";
import type { Proposed } from "./proposed.ts";

type Change = ParametersView["learning"]["changes"][number];
/** Base rates and inspectors are few and what people ask about; rates and checks are many. */
const isOfCausesOrPeople = ({ key }: Change) => key.startsWith("prior.") || key.startsWith("inspector.");

function MoreRows({ changes }: { changes: Change[] }) {
  if (changes.length === 0) return null;
  return (
    <details>
      <summary>
        Rates of onsets and checks: {changes.length} {changes.length === 1 ? "row" : "rows"}
      </summary>
      <ChangeList changes={changes} />
    </details>
  );
}

/** What confirmed visits propose; only a person turns it into a version. */
export function LearnedProposal({ view, onLook }: { view: ParametersView; onLook: (proposed: Proposed) => void }) {
  const { outcomes, withoutScore, changes } = view.learning;
  return (
    <section>
      <h2>What confirmed visits teach</h2>
      <p className="soft">
        Each confirmed visit is set against what was stated of its site before it, so that visiting suspicious sites
        teaches nothing by itself. A cause that nobody looked for counts on neither side. Base rates, rates of onsets,
        how well each check finds, and how far each inspector differs from the fleet are learned; a row that would
        hardly move is left out.
        {withoutScore > 0
          ? ` ${withoutScore} confirmed ${withoutScore === 1 ? "visit" : "visits"} came before the first score of the site and cannot be used.`
          : ""}
      </p>
      {outcomes === 0 ? (
        <Empty>No confirmed visit came after a score yet, so there is nothing to learn from.</Empty>
      ) : changes.length === 0 ? (
        <Note>The table in force already holds what {outcomes} outcomes teach.</Note>
      ) : (
        <>
          <p>
            {outcomes} {outcomes === 1 ? "outcome" : "outcomes"} would move {changes.length}{" "}
            {changes.length === 1 ? "row" : "rows"}:
          </p>
          <ChangeList changes={changes.filter(isOfCausesOrPeople)} />
          <MoreRows changes={changes.filter((c) => !isOfCausesOrPeople(c))} />
          {view.mayEdit ? (
            <p>
              <button
                type="button"
                className="button"
                onClick={() =>
                  onLook({
                    title: `Learned from ${outcomes} ${outcomes === 1 ? "outcome" : "outcomes"}`,
                    change: { kind: "learned" },
                    url: "/api/pages/parameters/learned",
                    extra: { outcomes },
                  })
                }
              >
                Look at this proposal
              </button>
            </p>
          ) : null}
        </>
      )}
    </section>
  );
}
