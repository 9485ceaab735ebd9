import Link from "next/link";
import { estimateText, number, rangedMoney } from "@/app/_ui/format.ts";
import { Note } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { Term } from "@/app/_ui/term.tsx";
import { BOOK_TABLE } from "@/app/_words/exposure.ts";
import type { BookResult } from "@/lib/reads/exposure-stored.ts";

const at = (book: BookResult, level: number) => book.tail.find((t) => t.level === level);

/** Books side by side; the last line is all of them together. */
export function BookTable({ books, currency }: { books: BookResult[]; currency: string }) {
  return (
    <Table
      label={BOOK_TABLE.books}
      className="ranked"
      data={{ "data-books": true }}
      rowData={(b) => ({ "data-book": b.book ?? "all" })}
      columns={[
        {
          name: BOOK_TABLE.book,
          className: "site",
          cell: (b) =>
            b.book === null ? (
              <strong>{BOOK_TABLE.allBooks}</strong>
            ) : (
              <Link href={`/exposure/books/${encodeURIComponent(b.book)}`}>{b.book}</Link>
            ),
        },
        { name: BOOK_TABLE.sites, num: true, label: BOOK_TABLE.sites, cell: (b) => b.sites },
        {
          name: <Term id="exposure">{BOOK_TABLE.expectedNet}</Term>,
          num: true,
          label: BOOK_TABLE.expectedNet,
          cell: (b) => rangedMoney(b.expected_net, currency),
        },
        {
          name: BOOK_TABLE.expectedGross,
          num: true,
          label: BOOK_TABLE.expectedGross,
          cell: (b) => rangedMoney(b.expected_gross, currency),
        },
        {
          name: <Term id="shortfall">{BOOK_TABLE.valueAtRisk}</Term>,
          num: true,
          label: BOOK_TABLE.valueAtRisk,
          cell: (b) => estimateText(at(b, 0.95)?.value_at_risk ?? { value: 0, error: 0 }, currency),
        },
        {
          name: <Term id="shortfall">{BOOK_TABLE.expectedShortfall}</Term>,
          num: true,
          label: BOOK_TABLE.expectedShortfall,
          cell: (b) => estimateText(at(b, 0.975)?.expected_shortfall ?? { value: 0, error: 0 }, currency),
        },
        {
          name: BOOK_TABLE.defects,
          num: true,
          label: BOOK_TABLE.defects,
          cell: (b) => (
            <>
              {BOOK_TABLE.expectedToFoundOpen(
                number(Math.round(b.defects.expected.value)),
                Math.round(b.defects.expected.low),
                Math.round(b.defects.expected.high),
                b.defects.open,
                b.defects.put_right,
              )}
            </>
          ),
        },
      ]}
      rows={books}
      keyOf={(b) => b.book ?? ""}
    />
  );
}

/** Said where a few rare years carry the expectation: a plain reading of the quantiles would mislead. */
export function HeavyTail({ book }: { book: BookResult }) {
  const first = book.tail[0];
  if (!first || first.value_at_risk.value > book.expected_net.value) return null;
  return <Note>{BOOK_TABLE.theExpectedLossIs(number(100 * first.level))}</Note>;
}

/** All levels of one book, each with its Monte Carlo error. */
export function TailTable({ book, currency }: { book: BookResult; currency: string }) {
  return (
    <Table
      label={BOOK_TABLE.tailOfTheComing}
      data={{ "data-tail": true }}
      columns={[
        { name: BOOK_TABLE.level, head: true, cell: (t) => <>{number(100 * t.level)} %</> },
        { name: BOOK_TABLE.valueAtRisk2, num: true, cell: (t) => estimateText(t.value_at_risk, currency) },
        { name: BOOK_TABLE.expectedShortfall2, num: true, cell: (t) => estimateText(t.expected_shortfall, currency) },
      ]}
      rows={book.tail}
      keyOf={(t) => t.level}
    />
  );
}
