import { money, probability, words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { SiteLossDetail } from "@/lib/reads/exposure-stored.ts";

const TERMS = ["repair", "property", "people", "energy", "escalation"] as const;
const NAMES = { repair: "Repair", property: "Property", people: "People", energy: "Energy", escalation: "Delay" };

/** Expected loss of the coming year by cause and kind, and what stays after recoveries. */
export function CauseLossTable({ detail, currency }: { detail: SiteLossDetail; currency: string }) {
  return (
    <>
      <h2>Loss by cause</h2>
      <p className="soft">
        Expectations for the coming year if nobody goes, in {currency}, each weighted by the cause's probability.
        “Delay” is what a year adds to the repair.
      </p>
      <Wide label="Loss by cause">
        <table data-loss-by-cause>
          <thead>
            <tr>
              <th scope="col">Cause</th>
              <th scope="col" className="num">
                Probability
              </th>
              {TERMS.map((t) => (
                <th key={t} scope="col" className="num">
                  {NAMES[t]}
                </th>
              ))}
              <th scope="col" className="num">
                Gross
              </th>
              <th scope="col" className="num">
                Recovered
              </th>
              <th scope="col" className="num">
                Net
              </th>
            </tr>
          </thead>
          <tbody>
            {detail.byCause.map((c) => (
              <tr key={c.cause}>
                <th scope="row">{words(c.cause)}</th>
                <td className="num">{probability(c.probability)}</td>
                {TERMS.map((t) => (
                  <td key={t} className="num">
                    {Math.round(c[t]).toLocaleString("en-US")}
                  </td>
                ))}
                <td className="num">{Math.round(c.gross).toLocaleString("en-US")}</td>
                <td className="num">{Math.round(c.recovered).toLocaleString("en-US")}</td>
                <td className="num">{money(c.net, currency)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </>
  );
}
