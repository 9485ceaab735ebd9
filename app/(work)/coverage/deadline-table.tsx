import Link from "next/link";
import { money, words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
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
    <Wide label="Deadlines">
      <table className="ranked terms-table">
        <thead>
          <tr>
            <th scope="col">Due</th>
            {site ? <th scope="col">Site</th> : null}
            <th scope="col">What</th>
            <th scope="col">Why and what to send</th>
            <th scope="col" className="num">
              Expected recovery
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
                <strong>{d.dueOn ?? "no day known"}</strong>
                <br />
                {leftWords(d)}
                {d.state === "lapse_risk" && d.kind !== "prudent_notice" ? (
                  <>
                    <br />
                    <strong>Lapse risk</strong>
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
                    <summary>What to send</summary>
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
