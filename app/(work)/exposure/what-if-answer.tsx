import { estimateText, money, number } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { WHAT_IF_ANSWER } from "@/app/_words/exposure.ts";
import type { WhatIfView } from "@/lib/reads/exposure-view.ts";

const NAMES = { visit: WHAT_IF_ANSWER.visiting, inspect: WHAT_IF_ANSWER.inspecting, cover: WHAT_IF_ANSWER.coverFor };

/** What the act changes, over the very same drawn years; the error is that of the difference. */
export function WhatIfAnswer({ view: { run, asked, result } }: { view: WhatIfView }) {
  if (!result)
    return (
      <p className="note gap" role="status">
        {WHAT_IF_ANSWER.noAnswer} {run.says}
      </p>
    );
  const { change, cost, currency, expected } = result;
  const spared = -expected.change;
  const who = asked.act.kind === "inspect" ? ` of ${asked.act.installer}` : "";
  return (
    <div data-what-if-answer={asked.act.kind}>
      <p>
        <strong>
          {NAMES[asked.act.kind]} {result.sites} {result.sites === 1 ? WHAT_IF_ANSWER.site : WHAT_IF_ANSWER.sites}
          {who}
        </strong>{" "}
        {WHAT_IF_ANSWER.takesOffTheExpected(
          money(spared, currency),
          money(expected.before, currency),
          money(cost, currency),
          cost !== null && cost > 0 ? WHAT_IF_ANSWER.sparedForEachSpent((spared / cost).toFixed(1)) : "",
        )}
      </p>
      <Table
        label={WHAT_IF_ANSWER.whatChangesInThe}
        columns={[
          {
            name: WHAT_IF_ANSWER.figure,
            head: true,
            cell: (t) =>
              `${t.key === "value_at_risk" ? WHAT_IF_ANSWER.valueAtRisk : WHAT_IF_ANSWER.expectedShortfall}, ${number(100 * t.level)} %`,
          },
          { name: WHAT_IF_ANSWER.now, num: true, cell: (t) => estimateText(t.now, currency) },
          { name: WHAT_IF_ANSWER.change, num: true, cell: (t) => estimateText(t.change, currency) },
        ]}
        rows={change.tail.flatMap((t, i) =>
          (["value_at_risk", "expected_shortfall"] as const).map((key) => ({
            key,
            level: t.level,
            now: change.before.tail[i]?.[key] ?? { value: 0, error: 0 },
            change: t[key],
          })),
        )}
        keyOf={(t) => `${t.level}${t.key}`}
      />
      {result.says.map((says) => (
        <p key={says} className="soft">
          {says}
        </p>
      ))}
      {asked.act.kind === "cover" ? null : <p className="soft">{WHAT_IF_ANSWER.whatAVisitFinds}</p>}
    </div>
  );
}
