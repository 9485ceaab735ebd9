import Link from "next/link";
import { MONTH_VIEW } from "@/app/_words/coverage.ts";
import type { CalendarView, DeadlineLine } from "@/lib/reads/coverage-view.ts";
import { KIND_WORDS, leftWords } from "../deadline-words.ts";
import { Governs } from "../governs.tsx";
import { monthLater, monthWeeks } from "./month-weeks.ts";

const WEEKDAYS = [
  MONTH_VIEW.monday,
  MONTH_VIEW.tuesday,
  MONTH_VIEW.wednesday,
  MONTH_VIEW.thursday,
  MONTH_VIEW.friday,
  MONTH_VIEW.saturday,
  MONTH_VIEW.sunday,
];

/** One month of deadlines: a table for the eye, a list on a phone. */
export function MonthView({ view }: { view: CalendarView }) {
  const { month, book } = view;
  const to = (m: string) => `/coverage/calendar?month=${m}${book ? `&book=${encodeURIComponent(book)}` : ""}`;
  const name = new Date(`${month}-15T00:00:00Z`).toLocaleDateString("en-US", {
    month: "long",
    year: "numeric",
    timeZone: "UTC",
  });
  return (
    <>
      <p>
        <Link href={book ? `/coverage?book=${encodeURIComponent(book)}` : "/coverage"}>{MONTH_VIEW.coverage}</Link>
      </p>
      <h1>{MONTH_VIEW.deadlinesIn(name)}</h1>
      <p className="soft">{MONTH_VIEW.daysAreEachSites(book ?? MONTH_VIEW.allBooks, view.deadlines.length)}</p>
      <Governs />
      <nav className="pages" aria-label={MONTH_VIEW.month}>
        <Link className="button" href={to(monthLater(month, -1))}>
          {MONTH_VIEW.monthBefore}
        </Link>
        <Link className="button" href={to(view.today.slice(0, 7))}>
          {MONTH_VIEW.thisMonth}
        </Link>
        <Link className="button" href={to(monthLater(month, 1))}>
          {MONTH_VIEW.nextMonth}
        </Link>
      </nav>
      {view.undated.length > 0 ? (
        <section className="note danger" aria-label={MONTH_VIEW.withoutADay}>
          <strong>{MONTH_VIEW.readTheContractNotify(view.undated.length)}</strong>
          <ul>
            {view.undated.slice(0, 20).map((d) => (
              <li key={[d.siteId, d.coverageId, d.kind, d.discoveryId].join("/")}>
                <Entry deadline={d} />
              </li>
            ))}
          </ul>
          {view.undated.length > 20 ? <p>{MONTH_VIEW.moreAreInThe(view.undated.length - 20)}</p> : null}
        </section>
      ) : null}
      <table className="month">
        <caption className="visually-hidden">{MONTH_VIEW.deadlinesInByDay(name)}</caption>
        <thead>
          <tr>
            {WEEKDAYS.map((day) => (
              <th key={day} scope="col">
                <abbr title={day}>{day.slice(0, 3)}</abbr>
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {monthWeeks(month).map((week) => (
            <tr key={week.find((day) => day !== null)}>
              {week.map((day, i) => (
                <Day
                  key={day ?? i}
                  day={day}
                  today={view.today}
                  deadlines={view.deadlines.filter((d) => day !== null && d.dueOn === day)}
                />
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}

function Day({ day, today, deadlines }: { day: string | null; today: string; deadlines: DeadlineLine[] }) {
  if (day === null) return <td className="other" />;
  return (
    <td data-day={day} data-full={deadlines.length > 0} aria-current={day === today ? "date" : undefined}>
      <span className="date">
        {Number(day.slice(8))}
        {day === today ? MONTH_VIEW.today : ""}
      </span>
      {deadlines.slice(0, 6).map((d) => (
        <div key={[d.siteId, d.coverageId, d.kind, d.discoveryId].join("/")}>
          <Entry deadline={d} />
        </div>
      ))}
      {deadlines.length > 6 ? <div className="soft">{MONTH_VIEW.more(deadlines.length - 6)}</div> : null}
    </td>
  );
}

function Entry({ deadline: d }: { deadline: DeadlineLine }) {
  return (
    <>
      <Link href={`/coverage/sites/${encodeURIComponent(d.siteId)}`}>{d.siteName}</Link>:{" "}
      {KIND_WORDS[d.kind].toLowerCase()}, {leftWords(d)}
    </>
  );
}
