import type { PathReport } from "@/lib/grounding/path-report.ts";

/** What the path says of itself: what is cut off, what hangs on one link, and what to propose. */
export function PathFindings({ report }: { report: PathReport }) {
  return (
    <div className="pair">
      <div>
        <h3>Not connected to the service ground</h3>
        {report.isolated.map((piece) => (
          <p key={piece.members.join()} className="note danger">
            {piece.says}
          </p>
        ))}
        {report.isolated.length === 0 ? (
          <p>
            Nothing is known to be cut off. {unprovenText(report)} That is no clearance: what nobody measured may be
            open.
          </p>
        ) : null}
        <h3>Hangs on one link</h3>
        <SinglePoints report={report} />
        {report.notices.map((notice) => (
          <p key={notice} className="note danger">
            {notice}
          </p>
        ))}
        {report.problems.map((problem) => (
          <p key={problem} className="note">
            {problem} Correct it under “Change what is recorded of the path”, or in the file of sections.
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
  if (unproven.length === 0) return "Every piece has a way to ground over verified links.";
  return `${unproven.length} ${unproven.length === 1 ? "piece reaches" : "pieces reach"} it only if a link holds that nobody verified.`;
}

function SinglePoints({ report }: { report: PathReport }) {
  const { singlePoints, singleMetal } = report;
  return (
    <>
      {singlePoints.length === 0 ? (
        <p>No single link carries a section, inverter, electrode or battery alone.</p>
      ) : null}
      <ul>
        {singlePoints.map(({ linkId, name, loses }) => (
          <li key={linkId}>
            {name}: without it {loses.join(", ")} {loses.length === 1 ? "is" : "are"} cut off.
          </li>
        ))}
      </ul>
      {singleMetal > 0 ? (
        <p className="soft">
          {singleMetal} more {singleMetal === 1 ? "link carries" : "links carry"} only the racking, conduit and flashing
          of a section.
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
      <h3>Jumpers to propose</h3>
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
        <p>No link is recorded as failed or missing, so none is proposed.</p>
      )}
    </div>
  );
}
