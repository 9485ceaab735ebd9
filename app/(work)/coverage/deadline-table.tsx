import Link from "next/link";
import { money, words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import { DEADLINE_TABLE } from "@/app/_words/coverage.ts";
import type { DeadlineLine } from "@/lib/reads/coverage-view.ts";
import { KIND_WORDS, leftWords } from "./deadline-words.ts";

/** Deadlines in the order given, with what hangs on each and what to send. */
export function DeadlineTable({
  deadlines,
  currency,
  site = true,
}: {
  deadlines: DeadlineLine[];
  currency: string;
  site?: boolean;
}) {
  return (
    <Wide label={DEADLINE_TABLE.deadlines}>
      <table className="ranked terms-table">
        <thead>
          <tr>
            <th scope="col">{DEADLINE_TABLE.due}</th>
            {site ? <th scope="col">{DEADLINE_TABLE.site}</th> : null}
            <th scope="col">{DEADLINE_TABLE.what}</th>
            <th scope="col">{DEADLINE_TABLE.whyAndWhatTo}</th>
            <th scope="col" className="num">
              {DEADLINE_TABLE.expectedRecovery}
            </th>
          </tr>
        </thead>
        <tbody>
          {deadlines.map((d) => (
            <tr
              key={[d.siteId, d.coverageId, d.kind, d.discoveryId].join("/")}
              data-deadline={d.kind}
              data-state={d.state}
            >
              <td>
                <strong>{d.dueOn ?? DEADLINE_TABLE.noDayKnown}</strong>
                <br />
                {leftWords(d)}
                {d.state === "lapse_risk" && d.kind !== "prudent_notice" ? (
                  <>
                    <br />
                    <strong>{DEADLINE_TABLE.lapseRisk}</strong>
                  </>
                ) : null}
              </td>
              {site ? (
                <td className="site">
                  <Link href={`/coverage/sites/${encodeURIComponent(d.siteId)}`}>{d.siteName}</Link>
                </td>
              ) : null}
              <td>
                {KIND_WORDS[d.kind]}
                <br />
                <span className="soft">{words(d.coverageKind)}</span>
              </td>
              <td>
                {d.says}
                {d.state === "sent" ? null : (
                  <details>
                    <summary>{DEADLINE_TABLE.whatToSend}</summary>
                    <ul>
                      {d.send.map((line) => (
                        <li key={line}>{line}</li>
                      ))}
                    </ul>
                  </details>
                )}
              </td>
              <td className="num" data-label="Expected recovery">
                {money(d.atRisk, currency)}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
