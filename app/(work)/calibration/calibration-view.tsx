import Link from "next/link";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { CALIBRATION_VIEW } from "@/app/_words/calibration.ts";
import type { CalibrationGroup, CalibrationView as View } from "@/lib/reads/calibration-view.ts";
import { ReliabilityChart } from "./reliability-chart.tsx";

export function CalibrationView({ view }: { view: View }) {
  return (
    <>
      <h1>{CALIBRATION_VIEW.calibration}</h1>
      <p className="soft">{CALIBRATION_VIEW.doStatedProbabilitiesOf}</p>
      <p
        className={`note${view.alarm ? " danger" : view.judged ? "" : " gap"}`}
        role={view.alarm ? "alert" : undefined}
      >
        <strong>
          {view.alarm ? CALIBRATION_VIEW.calibrationHasDrifted : view.judged ? "" : CALIBRATION_VIEW.tooYoungToJudge}
        </strong>
        {view.says}
        {view.alarm ? (
          <>
            {" "}
            {CALIBRATION_VIEW.lookAtWhatConfirmed} <Link href="/parameters">{CALIBRATION_VIEW.parameters}</Link>.
          </>
        ) : null}
      </p>
      <p className="soft">
        {CALIBRATION_VIEW.outcomesWithADefect(view.outcomes, view.found, view.withoutScore, view.unsettled)}
      </p>
      {view.scores === null ? (
        <Empty>{CALIBRATION_VIEW.noConfirmedVisitCame}</Empty>
      ) : (
        <>
          <h2>{CALIBRATION_VIEW.statedAndFound}</h2>
          <ReliabilityChart bins={view.bins} />
          <Scores view={view} />
          <Groups title={CALIBRATION_VIEW.byInstaller} of={CALIBRATION_VIEW.installer} groups={view.installers} />
          <Groups title={CALIBRATION_VIEW.byInspector} of={CALIBRATION_VIEW.inspector} groups={view.inspectors} />
        </>
      )}
    </>
  );
}

function Scores({ view }: { view: View }) {
  return (
    <>
      <h2>{CALIBRATION_VIEW.againstSimpleRules}</h2>
      <p className="soft">
        {CALIBRATION_VIEW.lowerIsBetter(
          view.auc === null ? "" : CALIBRATION_VIEW.areaUnderTheRoc(view.auc.toFixed(2)),
          view.judged ? "" : CALIBRATION_VIEW.withSoFewOutcomes,
        )}
      </p>
      <Table
        label={CALIBRATION_VIEW.scoresAgainstSimpleRules}
        data={{ "data-scores": true }}
        columns={[
          { name: CALIBRATION_VIEW.forecast, head: true, cell: (row) => row.name },
          { name: CALIBRATION_VIEW.whatItStates, cell: (row) => row.what },
          { name: CALIBRATION_VIEW.brierScore, num: true, cell: (row) => row.brier.toFixed(3) },
          { name: CALIBRATION_VIEW.logScoreNats, num: true, cell: (row) => row.logScore.toFixed(3) },
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
        <p className="soft">{CALIBRATION_VIEW.noOutcomeNamesOne}</p>
      ) : (
        <Table
          label={title}
          columns={[
            { name: of, head: true, cell: (g) => g.name },
            { name: CALIBRATION_VIEW.outcomes, num: true, cell: (g) => g.outcomes },
            { name: CALIBRATION_VIEW.statedMean, num: true, cell: (g) => g.stated.toFixed(2) },
            {
              name: CALIBRATION_VIEW.foundInterval,
              num: true,
              cell: (g) => <>{CALIBRATION_VIEW.to(g.share.toFixed(2), g.low.toFixed(2), g.high.toFixed(2))}</>,
            },
            {
              name: CALIBRATION_VIEW.agreement,
              cell: (g) =>
                g.apart
                  ? g.stated < g.low
                    ? CALIBRATION_VIEW.moreFoundThanStated
                    : CALIBRATION_VIEW.fewerFoundThanStated
                  : CALIBRATION_VIEW.withinTheInterval,
            },
          ]}
          rows={groups}
          keyOf={(g) => g.name}
        />
      )}
    </>
  );
}
