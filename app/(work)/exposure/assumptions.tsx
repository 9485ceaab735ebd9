import Link from "next/link";
import { number, words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { ASSUMPTIONS } from "@/app/_words/exposure.ts";
import type { ExposureView } from "@/lib/reads/exposure-view.ts";

const spaced = (key: string) =>
  words(key.replace(".", ": ").replace(/([a-z])([A-Z])/g, (_, a: string, b: string) => `${a} ${b.toLowerCase()}`));

/** Every number behind the money, as in force now, and how the draw works. */
export function Assumptions({ rows }: { rows: ExposureView["assumptions"] }) {
  const of = (key: string) => number(rows.find((r) => r.key === key)?.value ?? 0);
  return (
    <>
      <h2>{ASSUMPTIONS.whatItRestsOn}</h2>
      <p className="soft">
        {ASSUMPTIONS.aDefectOfWorkmanship(
          of("sharedInstaller"),
          of("sharedBatch"),
          of("evidenceNone"),
          of("evidenceAll"),
        )}
      </p>
      <details>
        <summary>{ASSUMPTIONS.allNumbers(rows.length)}</summary>
        <p>
          {ASSUMPTIONS.changeThemOn} <Link href="/parameters">{ASSUMPTIONS.parameters}</Link>
          {ASSUMPTIONS.groupLossEveryChange}
        </p>
        <Table
          label={ASSUMPTIONS.numbersOfTheLoss}
          data={{ "data-assumptions": true }}
          columns={[
            { name: ASSUMPTIONS.number, head: true, cell: (r) => spaced(r.key) },
            {
              name: ASSUMPTIONS.value,
              num: true,
              cell: (r) => r.value.toLocaleString("en-US", { maximumSignificantDigits: 6 }),
            },
            { name: ASSUMPTIONS.unit, cell: (r) => r.unit },
            { name: ASSUMPTIONS.whereItComesFrom, cell: (r) => r.source },
          ]}
          rows={rows}
          keyOf={(r) => r.key}
        />
      </details>
    </>
  );
}
