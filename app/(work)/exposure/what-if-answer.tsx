import { estimateText, money, number } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
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
      <Wide label="What changes in the tail">
        <table>
          <thead>
            <tr>
              <th scope="col">Figure</th>
              <th scope="col" className="num">
                Now
              </th>
              <th scope="col" className="num">
                Change
              </th>
            </tr>
          </thead>
          <tbody>
            {change.tail.flatMap((t, i) =>
              (["value_at_risk", "expected_shortfall"] as const).map((key) => (
                <tr key={`${t.level}${key}`}>
                  <th scope="row">
                    {key === "value_at_risk" ? "Value at risk" : "Expected shortfall"}, {number(100 * t.level)} %
                  </th>
                  <td className="num">
                    {estimateText(change.before.tail[i]?.[key] ?? { value: 0, error: 0 }, currency)}
                  </td>
                  <td className="num">{estimateText(t[key], currency)}</td>
                </tr>
              )),
            )}
          </tbody>
        </table>
      </Wide>
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
