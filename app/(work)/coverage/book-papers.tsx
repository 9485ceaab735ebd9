"use client";

import { postJson } from "@/app/_ui/post-json.ts";
import { When } from "@/app/_ui/when.tsx";
import { BOOK_PAPERS } from "@/app/_words/coverage.ts";
import type { LinkLine, ReportLine } from "@/lib/reads/coverage-view.ts";
import { Links } from "./links.tsx";
import { Field, PostForm } from "./post-form.tsx";
import { textOf } from "./send-paper.ts";

/** Monthly reports and the calendar link of one book. */
export function BookPapers({
  book,
  links,
  reports,
  month,
}: {
  book: string;
  links: LinkLine[];
  reports: ReportLine[];
  month: string;
}) {
  const make = async (form: FormData) => {
    await postJson("/api/pages/coverage/reports", { book, month: textOf(form, "month") });
    return BOOK_PAPERS.madeItIsThe;
  };
  return (
    <>
      <h2>{BOOK_PAPERS.monthlyReportsOf(book)}</h2>
      <p className="soft">{BOOK_PAPERS.onePageAsPdf}</p>
      <PostForm name="Monthly report" button={BOOK_PAPERS.makeTheReport} send={make} keeps>
        <Field label={BOOK_PAPERS.month} name="month" type="month" value={month} required />
      </PostForm>
      <ul>
        {reports.map((r) => (
          <li key={r.reportId}>
            <a href={`/api/pages/coverage/reports/${r.reportId}`} download>
              {r.month}
            </a>{" "}
            <span className="soft">
              {r.scheduled ? BOOK_PAPERS.bySchedule : BOOK_PAPERS.madeBy(r.madeBy)}, <When at={r.madeAt} />
              {BOOK_PAPERS.sha(r.sha256.slice(0, 12))}
            </span>
          </li>
        ))}
      </ul>
      {reports.length === 0 ? <p className="soft">{BOOK_PAPERS.noneYet}</p> : null}
      <h2>{BOOK_PAPERS.calendarLinkOf(book)}</h2>
      <p className="soft">{BOOK_PAPERS.aSecretAddressIn}</p>
      <Links to={{ kind: "calendar", book }} links={links} />
    </>
  );
}
