import { PATH_FINDINGS } from "@/app/_words/site-path.ts";
import type { PathReport } from "@/lib/grounding/path-report.ts";

/** What the path says of itself: what is cut off, what hangs on one link, and what to propose. */
export function PathFindings({ report }: { report: PathReport }) {
  return (
    <div className="pair">
      <div>
        <h3>{PATH_FINDINGS.notConnectedToThe}</h3>
        {report.isolated.map((piece) => (
          <p key={piece.members.join()} className="note danger">
            {piece.says}
          </p>
        ))}
        {report.isolated.length === 0 ? <p>{PATH_FINDINGS.nothingIsKnownTo(unprovenText(report))}</p> : null}
        <h3>{PATH_FINDINGS.hangsOnOneLink}</h3>
        <SinglePoints report={report} />
        {report.notices.map((notice) => (
          <p key={notice} className="note danger">
            {notice}
          </p>
        ))}
        {report.problems.map((problem) => (
          <p key={problem} className="note">
            {PATH_FINDINGS.correctItUnderChange(problem)}
          </p>
        ))}
        {report.gaps.map((gap) => (
          <p key={gap} className="note gap">
            {gap}
          </p>
        ))}
      </div>
      <Jumpers report={report} />
    </div>
  );
}

function unprovenText({ unproven }: PathReport): string {
  if (unproven.length === 0) return PATH_FINDINGS.everyPieceHasA;
  return PATH_FINDINGS.itOnlyIfA(
    unproven.length,
    unproven.length === 1 ? PATH_FINDINGS.pieceReaches : PATH_FINDINGS.piecesReach,
  );
}

function SinglePoints({ report }: { report: PathReport }) {
  const { singlePoints, singleMetal } = report;
  return (
    <>
      {singlePoints.length === 0 ? <p>{PATH_FINDINGS.noSingleLinkCarries}</p> : null}
      <ul>
        {singlePoints.map(({ linkId, name, loses }) => (
          <li key={linkId}>
            {PATH_FINDINGS.withoutItCutOff(
              name,
              loses.join(", "),
              loses.length === 1 ? PATH_FINDINGS.is : PATH_FINDINGS.are,
            )}
          </li>
        ))}
      </ul>
      {singleMetal > 0 ? (
        <p className="soft">
          {PATH_FINDINGS.moreOnlyTheRacking(
            singleMetal,
            singleMetal === 1 ? PATH_FINDINGS.linkCarries : PATH_FINDINGS.linksCarry,
          )}
        </p>
      ) : null}
    </>
  );
}

function Jumpers({ report }: { report: PathReport }) {
  const { jumpers } = report;
  const [first] = jumpers;
  return (
    <div>
      <h3>{PATH_FINDINGS.jumpersToPropose}</h3>
      {first ? (
        <>
          <ol>
            {jumpers.map((jumper) => (
              <li key={`${jumper.from} ${jumper.to} ${jumper.linkId}`}>{jumper.says}</li>
            ))}
          </ol>
          <p className="note danger">{first.warnings}</p>
        </>
      ) : (
        <p>{PATH_FINDINGS.noLinkIsRecorded}</p>
      )}
    </div>
  );
}
