import Link from "next/link";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import type { CalibrationGroup, CalibrationView as View } from "@/lib/reads/calibration-view.ts";
import { ReliabilityChart } from "./reliability-chart.tsx";

export function CalibrationView({ view }: { view: View }) {
  return (
    <>
      <h1>Calibration</h1>
      <p className="soft">
        Do stated probabilities of a bonding or grounding defect agree with what visits found? Each confirmed visit is
        set against the last score before it, never a later one. A visit that did not look for the likeliest cause
        settles nothing and is left out.
      </p>
      <p
        className={`note${view.alarm ? " danger" : view.judged ? "" : " gap"}`}
        role={view.alarm ? "alert" : undefined}
      >
        <strong>{view.alarm ? "Calibration has drifted. " : view.judged ? "" : "Too young to judge. "}</strong>
        {view.says}
        {view.alarm ? (
          <>
            {" "}
            Look at what confirmed visits propose on <Link href="/parameters">Parameters</Link>.
          </>
        ) : null}
      </p>
      <p className="soft">
        {view.outcomes} outcomes, {view.found} with a defect found. Left out: {view.withoutScore} confirmed visits
        before the first score of their site, {view.unsettled} that did not settle the question.
      </p>
      {view.scores === null ? (
        <Empty>No confirmed visit came after a score yet. Outcomes come in with inspections.csv and repairs.csv.</Empty>
      ) : (
        <>
          <h2>Stated and found</h2>
          <ReliabilityChart bins={view.bins} />
          <Scores view={view} />
          <Groups title="By installer" of="Installer" groups={view.installers} />
          <Groups title="By inspector" of="Inspector" groups={view.inspectors} />
        </>
      )}
    </>
  );
}

function Scores({ view }: { view: View }) {
  return (
    <>
      <h2>Against simple rules</h2>
      <p className="soft">
        Lower is better. {view.auc === null ? "" : `Area under the ROC curve: ${view.auc.toFixed(2)}. `}
        {view.judged ? "" : "With so few outcomes these figures move a lot from one visit to the next."}
      </p>
      <Table
        label="Scores against simple rules"
        data={{ "data-scores": true }}
        columns={[
          { name: "Forecast", head: true, cell: (row) => row.name },
          { name: "What it states", cell: (row) => row.what },
          { name: "Brier score", num: true, cell: (row) => row.brier.toFixed(3) },
          { name: "Log score, nats", num: true, cell: (row) => row.logScore.toFixed(3) },
        ]}
        rows={view.scores ?? []}
        keyOf={(row) => row.name}
      />
    </>
  );
}

function Groups({ title, of, groups }: { title: string; of: string; groups: CalibrationGroup[] }) {
  return (
    <>
      <h2>{title}</h2>
      {groups.length === 0 ? (
        <p className="soft">No outcome names one.</p>
      ) : (
        <Table
          label={title}
          columns={[
            { name: of, head: true, cell: (g) => g.name },
            { name: "Outcomes", num: true, cell: (g) => g.outcomes },
            { name: "Stated, mean", num: true, cell: (g) => g.stated.toFixed(2) },
            {
              name: "Found (95 % interval)",
              num: true,
              cell: (g) => (
                <>
                  {g.share.toFixed(2)} ({g.low.toFixed(2)} to {g.high.toFixed(2)})
                </>
              ),
            },
            {
              name: "Agreement",
              cell: (g) =>
                g.apart
                  ? g.stated < g.low
                    ? "more found than stated"
                    : "fewer found than stated"
                  : "within the interval",
            },
          ]}
          rows={groups}
          keyOf={(g) => g.name}
        />
      )}
    </>
  );
}
