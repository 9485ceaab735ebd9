import Link from "next/link";
import { Wide } from "@/app/_ui/wide.tsx";
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
        <p className="empty">
          No confirmed visit came after a score yet. Outcomes come in with inspections.csv and repairs.csv.
        </p>
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
      <Wide label="Scores against simple rules">
        <table data-scores>
          <thead>
            <tr>
              <th scope="col">Forecast</th>
              <th scope="col">What it states</th>
              <th scope="col" className="num">
                Brier score
              </th>
              <th scope="col" className="num">
                Log score, nats
              </th>
            </tr>
          </thead>
          <tbody>
            {view.scores?.map((row) => (
              <tr key={row.name}>
                <th scope="row">{row.name}</th>
                <td>{row.what}</td>
                <td className="num">{row.brier.toFixed(3)}</td>
                <td className="num">{row.logScore.toFixed(3)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
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
        <Wide label={title}>
          <table>
            <thead>
              <tr>
                <th scope="col">{of}</th>
                <th scope="col" className="num">
                  Outcomes
                </th>
                <th scope="col" className="num">
                  Stated, mean
                </th>
                <th scope="col" className="num">
                  Found (95 % interval)
                </th>
                <th scope="col">Agreement</th>
              </tr>
            </thead>
            <tbody>
              {groups.map((g) => (
                <tr key={g.name}>
                  <th scope="row">{g.name}</th>
                  <td className="num">{g.outcomes}</td>
                  <td className="num">{g.stated.toFixed(2)}</td>
                  <td className="num">
                    {g.share.toFixed(2)} ({g.low.toFixed(2)} to {g.high.toFixed(2)})
                  </td>
                  <td>
                    {g.apart
                      ? g.stated < g.low
                        ? "more found than stated"
                        : "fewer found than stated"
                      : "within the interval"}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      )}
    </>
  );
}
