import { estimateText, money, number } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import type { WhatIfView } from "@/lib/reads/exposure-view.ts";

const NAMES = { visit: "Visiting", inspect: "Inspecting", cover: "Cover for" };

/** What the act changes, over the very same drawn years; the error is that of the difference. */
export function WhatIfAnswer({ view: { run, asked, result } }: { view: WhatIfView }) {
  if (!result)
    return (
      <p className="note gap" role="status">
        No answer: {run.says}
      </p>
    );
  const { change, cost, currency, expected } = result;
  const spared = -expected.change;
  const who = asked.act.kind === "inspect" ? ` of ${asked.act.installer}` : "";
  return (
    <div data-what-if-answer={asked.act.kind}>
      <p>
        <strong>
          {NAMES[asked.act.kind]} {result.sites} {result.sites === 1 ? "site" : "sites"}
          {who}
        </strong>{" "}
        takes {money(spared, currency)} off the expected net loss of the year, of {money(expected.before, currency)}. It
        costs {money(cost, currency)}
        {cost !== null && cost > 0 ? `; ${(spared / cost).toFixed(1)} spared for each 1 spent` : ""}.
      </p>
      <Table
        label="What changes in the tail"
        columns={[
          {
            name: "Figure",
            head: true,
            cell: (t) =>
              `${t.key === "value_at_risk" ? "Value at risk" : "Expected shortfall"}, ${number(100 * t.level)} %`,
          },
          { name: "Now", num: true, cell: (t) => estimateText(t.now, currency) },
          { name: "Change", num: true, cell: (t) => estimateText(t.change, currency) },
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
      {asked.act.kind === "cover" ? null : (
        <p className="soft">
          What a visit finds is mended; what it misses stays. A hazard is made safe whatever such a sum says.
        </p>
      )}
    </div>
  );
}
