import { Wide } from "@/app/_ui/wide.tsx";
import type { ConductorLine } from "@/lib/grounding/conductor-lines.ts";
import type { PathReport } from "@/lib/grounding/path-report.ts";

/** A sign that needs no colour, and the word. */
const VERDICT: Record<ConductorLine["verdict"], string> = {
  right: "✓ meets the minimum",
  undersized: "✕ undersized",
  cannot_tell: "? cannot tell",
  edition_not_loaded: "? edition not known",
};

/** Every conductor with the minimum of the site's code edition, and what a fault would put on each frame. */
export function PathConductors({ report }: { report: PathReport }) {
  return (
    <>
      <h3>Conductors by the code</h3>
      <p className="soft">
        {report.edition === null
          ? "The site's code edition is not recorded, so nothing is judged."
          : `By the ${report.edition} edition of the NEC. The local authority decides which edition applies.`}
      </p>
      <Wide label="Conductors and their minimum sizes">
        <table className="path-table" data-table="path-conductors">
          <thead>
            <tr>
              <th scope="col">Conductor</th>
              <th scope="col">Recorded / minimum</th>
              <th scope="col">Judgement</th>
            </tr>
          </thead>
          <tbody>
            {report.conductors.map((line) => (
              <tr key={line.name} data-verdict={line.verdict}>
                <td>{line.name}</td>
                <td>
                  {line.recorded}
                  <br />
                  <span className="soft">minimum {line.required}</span>
                </td>
                <td>
                  {VERDICT[line.verdict]}
                  <br />
                  <span className="soft">
                    {line.says} {line.rule}
                  </span>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      <ul>
        {report.connections.map((says) => (
          <li key={says}>{says}</li>
        ))}
      </ul>
      {report.looks.length > 0 ? (
        <details>
          <summary>What else to look for along them ({report.looks.length}): no record tells it</summary>
          <ul>
            {report.looks.map(({ rule, asks, at }) => (
              <li key={`${rule} ${asks}`}>
                {asks} <span className="soft">{`${at.join(", ")}. ${rule}.`}</span>
              </li>
            ))}
          </ul>
        </details>
      ) : null}
      <details>
        <summary>Resistance of each frame to the service ground, and what a DC fault would put on it</summary>
        <dl className="frames">
          {report.frames.map((frame) => (
            <div key={frame.label}>
              <dt>{frame.label}</dt>
              <dd>
                {frame.resistance} {frame.says}
              </dd>
            </div>
          ))}
        </dl>
      </details>
    </>
  );
}
