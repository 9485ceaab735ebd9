import { PhoneFold } from "@/app/_ui/phone-fold.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { PATH_CONDUCTORS } from "@/app/_words/site-path.ts";
import type { ConductorLine } from "@/lib/grounding/conductor-lines.ts";
import type { PathReport } from "@/lib/grounding/path-report.ts";

/** A sign that needs no colour, and the word. */
const VERDICT: Record<ConductorLine["verdict"], string> = {
  right: PATH_CONDUCTORS.meetsTheMinimum,
  undersized: "✕ undersized",
  cannot_tell: PATH_CONDUCTORS.cannotTell,
  edition_not_loaded: PATH_CONDUCTORS.editionNotKnown,
};

/** Every conductor with the minimum of the site's code edition, and what a fault would put on each frame. */
export function PathConductors({ report }: { report: PathReport }) {
  return (
    <PhoneFold title={PATH_CONDUCTORS.conductorsByTheCode} level={3}>
      <p className="soft">
        {report.edition === null ? PATH_CONDUCTORS.theSitesCodeEdition : PATH_CONDUCTORS.byTheEditionOf(report.edition)}
      </p>
      <Table
        label={PATH_CONDUCTORS.conductorsAndTheirMinimum}
        className="path-table"
        phone="cards"
        data={{ "data-table": "path-conductors" }}
        rowData={(line) => ({ "data-verdict": line.verdict })}
        columns={[
          { name: PATH_CONDUCTORS.conductor, cell: (line) => line.name },
          {
            name: PATH_CONDUCTORS.recordedMinimum,
            label: PATH_CONDUCTORS.recorded,
            cell: (line) => (
              <>
                {line.recorded}
                <br />
                <span className="soft">{PATH_CONDUCTORS.minimum(line.required)}</span>
              </>
            ),
          },
          {
            name: PATH_CONDUCTORS.judgement,
            label: "",
            cell: (line) => (
              <>
                {VERDICT[line.verdict]}
                <br />
                <span className="soft">
                  {line.says} {line.rule}
                </span>
              </>
            ),
          },
        ]}
        rows={report.conductors}
        keyOf={(line) => line.name}
      />
      <ul>
        {report.connections.map((says) => (
          <li key={says}>{says}</li>
        ))}
      </ul>
      {report.looks.length > 0 ? (
        <details>
          <summary>{PATH_CONDUCTORS.whatElseToLook(report.looks.length)}</summary>
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
        <summary>{PATH_CONDUCTORS.resistanceOfEachFrame}</summary>
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
    </PhoneFold>
  );
}
