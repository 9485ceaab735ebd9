import { Figure } from "@/app/_ui/figure.tsx";
import { words } from "@/app/_ui/format.ts";
import { PhoneFold } from "@/app/_ui/phone-fold.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { CAUSES_TABLE } from "@/app/_words/site-evidence.ts";
import { BONDING_CAUSES, CAUSES } from "@/lib/core/records.ts";
import type { SiteView } from "@/lib/reads/site-view.ts";
import { causeFigure } from "./workings.tsx";

const FIRST_ON_PHONE = 5;

/** Each cause by itself; causes coexist, so these need not add up to one. */
export function CausesTable({ view }: { view: SiteView }) {
  const { score } = view;
  const family = new Set<string>(BONDING_CAUSES);
  const sorted = [...CAUSES].sort((a, b) => score.causes[b] - score.causes[a]);
  return (
    <section>
      <PhoneFold title={CAUSES_TABLE.causes}>
        <p className="soft">{CAUSES_TABLE.probabilityOfEachBy}</p>
        <Table
          label={CAUSES_TABLE.causes}
          columns={[
            { name: CAUSES_TABLE.cause, cell: (cause) => words(cause) },
            {
              name: CAUSES_TABLE.family,
              className: "soft",
              cell: (cause) => (family.has(cause) ? CAUSES_TABLE.bonding : CAUSES_TABLE.other),
            },
            {
              name: CAUSES_TABLE.probability,
              num: true,
              cell: (cause) => <Figure of={`cause-${cause}`}>{causeFigure(view, cause)}</Figure>,
            },
          ]}
          rows={sorted}
          keyOf={(cause) => cause}
          later={(_, i) => i >= FIRST_ON_PHONE}
        />
      </PhoneFold>
    </section>
  );
}
