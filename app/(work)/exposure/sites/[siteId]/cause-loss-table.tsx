import { banded, money, words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import type { SiteLossDetail } from "@/lib/reads/exposure-stored.ts";
import type { ExposureSiteView } from "@/lib/reads/exposure-view.ts";

const TERMS = ["repair", "property", "people", "energy", "escalation"] as const;
const NAMES = { repair: "Repair", property: "Property", people: "People", energy: "Energy", escalation: "Delay" };

type CauseLoss = SiteLossDetail["byCause"][number];
const whole = (amount: number) => Math.round(amount).toLocaleString("en-US");

/** Expected loss of the coming year by cause and kind, and what stays after recoveries. */
export function CauseLossTable({ view: { detail, currency, causeBands } }: { view: ExposureSiteView }) {
  // The losses may be of an older score than the bands: a band holds what it is shown with.
  const chance = ({ cause, probability: p }: CauseLoss) => {
    const ends = causeBands?.[cause];
    return ends ? banded({ p, low: Math.min(p, ends.low), high: Math.max(p, ends.high) }) : "interval not computed yet";
  };
  return (
    <>
      <h2>Loss by cause</h2>
      <p className="soft">
        Expectations for the coming year if nobody goes, in {currency}, each weighted by the cause's probability.
        “Delay” is what a year adds to the repair.
      </p>
      <Table
        label="Loss by cause"
        data={{ "data-loss-by-cause": true }}
        columns={[
          { name: "Cause", head: true, cell: (c) => words(c.cause) },
          { name: "Probability", num: true, cell: chance },
          ...TERMS.map((t) => ({ name: NAMES[t], num: true, cell: (c: CauseLoss) => whole(c[t]) })),
          { name: "Gross", num: true, cell: (c) => whole(c.gross) },
          { name: "Recovered", num: true, cell: (c) => whole(c.recovered) },
          { name: "Net", num: true, cell: (c) => money(c.net, currency) },
        ]}
        rows={detail.byCause}
        keyOf={(c) => c.cause}
      />
    </>
  );
}
