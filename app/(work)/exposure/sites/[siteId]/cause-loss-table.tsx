import { banded, money, words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { CAUSE_LOSS_TABLE } from "@/app/_words/exposure.ts";
import type { SiteLossDetail } from "@/lib/reads/exposure-stored.ts";
import type { ExposureSiteView } from "@/lib/reads/exposure-view.ts";

const TERMS = ["repair", "property", "people", "energy", "escalation"] as const;
const NAMES = {
  repair: CAUSE_LOSS_TABLE.repair,
  property: CAUSE_LOSS_TABLE.property,
  people: CAUSE_LOSS_TABLE.people,
  energy: CAUSE_LOSS_TABLE.energy,
  escalation: CAUSE_LOSS_TABLE.delay,
};

type CauseLoss = SiteLossDetail["byCause"][number];
const whole = (amount: number) => Math.round(amount).toLocaleString("en-US");

/** Expected loss of the coming year by cause and kind, and what stays after recoveries. */
export function CauseLossTable({ view: { detail, currency, causeBands } }: { view: ExposureSiteView }) {
  // The losses may be of an older score than the bands: a band holds what it is shown with.
  const chance = ({ cause, probability: p }: CauseLoss) => {
    const ends = causeBands?.[cause];
    return ends
      ? banded({ p, low: Math.min(p, ends.low), high: Math.max(p, ends.high) })
      : CAUSE_LOSS_TABLE.intervalNotComputedYet;
  };
  return (
    <>
      <h2>{CAUSE_LOSS_TABLE.lossByCause}</h2>
      <p className="soft">{CAUSE_LOSS_TABLE.expectationsForTheComing(currency)}</p>
      <Table
        label={CAUSE_LOSS_TABLE.lossByCause}
        data={{ "data-loss-by-cause": true }}
        columns={[
          { name: CAUSE_LOSS_TABLE.cause, head: true, cell: (c) => words(c.cause) },
          { name: CAUSE_LOSS_TABLE.probability, num: true, cell: chance },
          ...TERMS.map((t) => ({ name: NAMES[t], num: true, cell: (c: CauseLoss) => whole(c[t]) })),
          { name: CAUSE_LOSS_TABLE.gross, num: true, cell: (c) => whole(c.gross) },
          { name: CAUSE_LOSS_TABLE.recovered, num: true, cell: (c) => whole(c.recovered) },
          { name: CAUSE_LOSS_TABLE.net, num: true, cell: (c) => money(c.net, currency) },
        ]}
        rows={detail.byCause}
        keyOf={(c) => c.cause}
      />
    </>
  );
}
