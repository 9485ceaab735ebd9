import { Empty, Note } from "@/app/_ui/said.tsx";
import { LEARNED_PROPOSAL } from "@/app/_words/parameters.ts";
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
        {LEARNED_PROPOSAL.ratesOfOnsetsAnd(
          changes.length,
          changes.length === 1 ? LEARNED_PROPOSAL.row : LEARNED_PROPOSAL.rows,
        )}
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
      <h2>{LEARNED_PROPOSAL.whatConfirmedVisitsTeach}</h2>
      <p className="soft">
        {LEARNED_PROPOSAL.eachConfirmedVisitIs(
          withoutScore > 0
            ? LEARNED_PROPOSAL.confirmedCameBeforeThe(withoutScore, withoutScore === 1 ? "visit" : "visits")
            : "",
        )}
      </p>
      {outcomes === 0 ? (
        <Empty>{LEARNED_PROPOSAL.noConfirmedVisitCame}</Empty>
      ) : changes.length === 0 ? (
        <Note>{LEARNED_PROPOSAL.theTableInForce(outcomes)}</Note>
      ) : (
        <>
          <p>
            {LEARNED_PROPOSAL.wouldMove(
              outcomes,
              outcomes === 1 ? LEARNED_PROPOSAL.outcome : LEARNED_PROPOSAL.outcomes,
              changes.length,
              changes.length === 1 ? LEARNED_PROPOSAL.row : LEARNED_PROPOSAL.rows,
            )}
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
                    title: LEARNED_PROPOSAL.learnedFrom(outcomes, outcomes === 1 ? "outcome" : "outcomes"),
                    change: { kind: "learned" },
                    url: "/api/pages/parameters/learned",
                    extra: { outcomes },
                  })
                }
              >
                {LEARNED_PROPOSAL.lookAtThisProposal}
              </button>
            </p>
          ) : null}
        </>
      )}
    </section>
  );
}
