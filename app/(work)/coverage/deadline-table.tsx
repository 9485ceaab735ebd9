import Link from "next/link";
import { money, words } from "@/app/_ui/format.ts";
import { type Column, Table } from "@/app/_ui/table.tsx";
import { DEADLINE_TABLE } from "@/app/_words/coverage.ts";
import type { DeadlineLine } from "@/lib/reads/coverage-view.ts";
import { KIND_WORDS, leftWords } from "./deadline-words.ts";

const FIRST_ON_PHONE = 10;

const SITE_COLUMN: Column<DeadlineLine> = {
  name: DEADLINE_TABLE.site,
  className: "site",
  label: "",
  cell: (d) => <Link href={`/coverage/sites/${encodeURIComponent(d.siteId)}`}>{d.siteName}</Link>,
};

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
    <Table
      label={DEADLINE_TABLE.deadlines}
      className="ranked terms-table"
      rowData={(d) => ({ "data-deadline": d.kind, "data-state": d.state })}
      columns={[
        {
          name: DEADLINE_TABLE.due,
          cell: (d) => (
            <>
              <strong>{d.dueOn ?? DEADLINE_TABLE.noDayKnown}</strong>
              <br />
              {leftWords(d)}
              {d.state === "lapse_risk" && d.kind !== "prudent_notice" ? (
                <>
                  <br />
                  <strong>{DEADLINE_TABLE.lapseRisk}</strong>
                </>
              ) : null}
            </>
          ),
        },
        ...(site ? [SITE_COLUMN] : []),
        {
          name: DEADLINE_TABLE.what,
          label: "",
          cell: (d) => (
            <>
              {KIND_WORDS[d.kind]}
              <br />
              <span className="soft">{words(d.coverageKind)}</span>
            </>
          ),
        },
        { name: DEADLINE_TABLE.whyAndWhatTo, label: "", cell: (d) => <WhyAndWhat deadline={d} /> },
        { name: DEADLINE_TABLE.expectedRecovery, num: true, cell: (d) => money(d.atRisk, currency) },
      ]}
      rows={deadlines}
      later={(_, i) => i >= FIRST_ON_PHONE}
      keyOf={(d) => [d.siteId, d.coverageId, d.kind, d.discoveryId].join("/")}
    />
  );
}

function WhyAndWhat({ deadline: d }: { deadline: DeadlineLine }) {
  if (d.state === "sent") return d.says;
  return (
    <>
      {d.says}
      <details>
        <summary>{DEADLINE_TABLE.whatToSend}</summary>
        <ul>
          {d.send.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      </details>
    </>
  );
}
