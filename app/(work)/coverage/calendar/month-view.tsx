import Link from "next/link";
import type { CalendarView, DeadlineLine } from "@/lib/reads/coverage-view.ts";
import { KIND_WORDS, leftWords } from "../deadline-words.ts";
import { Governs } from "../governs.tsx";
import { monthLater, monthWeeks } from "./month-weeks.ts";

const WEEKDAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

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
        <Link href={book ? `/coverage?book=${encodeURIComponent(book)}` : "/coverage"}>Coverage</Link>
      </p>
      <h1>Deadlines in {name}</h1>
      <p className="soft">
        {book ?? "All books"}. Days are each site's own. {view.deadlines.length} in this month.
      </p>
      <Governs />
      <nav className="pages" aria-label="Month">
        <Link className="button" href={to(monthLater(month, -1))}>
          Month before
        </Link>
        <Link className="button" href={to(view.today.slice(0, 7))}>
          This month
        </Link>
        <Link className="button" href={to(monthLater(month, 1))}>
          Next month
        </Link>
      </nav>
      {view.undated.length > 0 ? (
        <section className="note danger" aria-label="Without a day">
          <strong>Read the contract, notify now ({view.undated.length})</strong>
          <ul>
            {view.undated.slice(0, 20).map((d) => (
              <li key={[d.siteId, d.coverageId, d.kind, d.discoveryId].join("/")}>
                <Entry deadline={d} />
              </li>
            ))}
          </ul>
          {view.undated.length > 20 ? (
            <p>{view.undated.length - 20} more are in the list on the Coverage page.</p>
          ) : null}
        </section>
      ) : null}
      <table className="month">
        <caption className="visually-hidden">Deadlines in {name} by day</caption>
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
        {day === today ? " today" : ""}
      </span>
      {deadlines.slice(0, 6).map((d) => (
        <div key={[d.siteId, d.coverageId, d.kind, d.discoveryId].join("/")}>
          <Entry deadline={d} />
        </div>
      ))}
      {deadlines.length > 6 ? <div className="soft">{deadlines.length - 6} more</div> : null}
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
