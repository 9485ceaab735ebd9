"use client";

import { money, words } from "@/app/_ui/format.ts";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import { Worth } from "@/app/_ui/worth.tsx";
import { UNSERVED } from "@/app/_words/plan.ts";
import type { PlanBoardView } from "@/lib/reads/plan-board-view.ts";

/** Visits that the plan leaves out, with the reason; each can be given a place from here. */
export function Unserved({
  plan,
  onSelect,
  onDrag,
}: {
  plan: PlanBoardView;
  onSelect: (visitId: string) => void;
  onDrag: (visitId: string | null) => void;
}) {
  if (plan.unserved.length === 0) return null;
  return (
    <section>
      <h2>{UNSERVED.notVisited(plan.unserved.length)}</h2>
      <Wide label={UNSERVED.visitsThatThePlan}>
        <table className="ranked cards">
          <thead>
            <tr>
              <th scope="col">{UNSERVED.site}</th>
              <th scope="col">{UNSERVED.urgency}</th>
              <th scope="col" className="num">
                {UNSERVED.avoids}
              </th>
              <th scope="col">{UNSERVED.why}</th>
            </tr>
          </thead>
          <tbody>
            {plan.unserved.map((u) => (
              <tr
                key={u.visitId}
                draggable={plan.state !== "superseded"}
                onDragStart={() => onDrag(u.visitId)}
                onDragEnd={() => onDrag(null)}
              >
                <th scope="row">
                  {u.code === "planned_elsewhere" ? (
                    u.siteName
                  ) : (
                    <button type="button" className="quiet" data-stop={u.visitId} onClick={() => onSelect(u.visitId)}>
                      {u.siteName}
                    </button>
                  )}
                </th>
                <td>
                  <Urgency value={u.urgency} />
                </td>
                <td className="num" data-label={UNSERVED.avoids}>
                  {money(u.avoided, plan.currency)}
                </td>
                <td>
                  {u.why} <span className="soft">{words(u.code)}</span>
                  <Worth siteId={u.siteId} siteName={u.siteName} />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}
