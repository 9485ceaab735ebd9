"use client";

import { postJson } from "@/app/_ui/post-json.ts";
import { When } from "@/app/_ui/when.tsx";
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
    return "Made; it is the first of the list.";
  };
  return (
    <>
      <h2>Monthly reports of {book}</h2>
      <p className="soft">
        One page as PDF. When a month is over the worker makes its report by itself; others are made here.
      </p>
      <PostForm name="Monthly report" button="Make the report" send={make} keeps>
        <Field label="Month" name="month" type="month" value={month} required />
      </PostForm>
      <ul>
        {reports.map((r) => (
          <li key={r.reportId}>
            <a href={`/api/pages/coverage/reports/${r.reportId}`} download>
              {r.month}
            </a>{" "}
            <span className="soft">
              {r.scheduled ? "by schedule" : `made by ${r.madeBy}`}, <When at={r.madeAt} />, SHA-256{" "}
              {r.sha256.slice(0, 12)}…
            </span>
          </li>
        ))}
      </ul>
      {reports.length === 0 ? <p className="soft">None yet.</p> : null}
      <h2>Calendar link of {book}</h2>
      <p className="soft">
        A secret address in iCalendar form for any calendar program. Whoever has it reads the deadlines of this book and
        nothing else.
      </p>
      <Links to={{ kind: "calendar", book }} links={links} />
    </>
  );
}
