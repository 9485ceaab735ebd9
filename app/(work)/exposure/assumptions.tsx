import Link from "next/link";
import { number, words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import type { ExposureView } from "@/lib/reads/exposure-view.ts";

const spaced = (key: string) =>
  words(key.replace(".", ": ").replace(/([a-z])([A-Z])/g, (_, a: string, b: string) => `${a} ${b.toLowerCase()}`));

/** Every number behind the money, as in force now, and how the draw works. */
export function Assumptions({ rows }: { rows: ExposureView["assumptions"] }) {
  const of = (key: string) => number(rows.find((r) => r.key === key)?.value ?? 0);
  return (
    <>
      <h2>What it rests on</h2>
      <p className="soft">
        A defect of workmanship or hardware strikes sites of one installer and of one hardware batch together: they have{" "}
        {of("sharedInstaller")} and {of("sharedBatch")} of its spread in common (a Gaussian copula with one factor a
        group). Those two numbers are judgement: nothing learns them from your own sites. Repairs, property losses and
        claims of injured persons are lognormal. Energy of trips is taken from the log and always lost. Each contract
        answers or not by its own chance: that of its kind, times the share that each broken or unknown condition leaves
        of it, times the chance that the evidence on file is accepted (from {of("evidenceNone")} with nothing to{" "}
        {of("evidenceAll")} with every item), times that of notice in time. Limits for the year are shared by the sites
        of a policy as they claim. The ± is one standard error from having drawn finitely many years; it says nothing of
        whether the assumptions are right.
      </p>
      <details>
        <summary>All {rows.length} numbers</summary>
        <p>
          Change them on <Link href="/parameters">Parameters</Link>, group “loss”: every change is a version with its
          reason, and the scores and figures follow.
        </p>
        <Table
          label="Numbers of the loss model"
          data={{ "data-assumptions": true }}
          columns={[
            { name: "Number", head: true, cell: (r) => spaced(r.key) },
            { name: "Value", num: true, cell: (r) => r.value.toLocaleString("en-US", { maximumSignificantDigits: 6 }) },
            { name: "Unit", cell: (r) => r.unit },
            { name: "Where it comes from", cell: (r) => r.source },
          ]}
          rows={rows}
          keyOf={(r) => r.key}
        />
      </details>
    </>
  );
}
