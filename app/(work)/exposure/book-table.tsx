import Link from "next/link";
import { estimateText, number, rangedMoney } from "@/app/_ui/format.ts";
import { Note } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { Term } from "@/app/_ui/term.tsx";
import type { BookResult } from "@/lib/reads/exposure-stored.ts";

const at = (book: BookResult, level: number) => book.tail.find((t) => t.level === level);

/** Books side by side; the last line is all of them together. */
export function BookTable({ books, currency }: { books: BookResult[]; currency: string }) {
  return (
    <Table
      label="Books"
      className="ranked"
      data={{ "data-books": true }}
      rowData={(b) => ({ "data-book": b.book ?? "all" })}
      columns={[
        {
          name: "Book",
          className: "site",
          cell: (b) =>
            b.book === null ? (
              <strong>All books</strong>
            ) : (
              <Link href={`/exposure/books/${encodeURIComponent(b.book)}`}>{b.book}</Link>
            ),
        },
        { name: "Sites", num: true, label: "Sites", cell: (b) => b.sites },
        {
          name: <Term id="exposure">Expected, net</Term>,
          num: true,
          label: "Expected, net",
          cell: (b) => rangedMoney(b.expected_net, currency),
        },
        {
          name: "Expected, gross",
          num: true,
          label: "Expected, gross",
          cell: (b) => rangedMoney(b.expected_gross, currency),
        },
        {
          name: <Term id="shortfall">Value at risk, 95 %</Term>,
          num: true,
          label: "Value at risk, 95 %",
          cell: (b) => estimateText(at(b, 0.95)?.value_at_risk ?? { value: 0, error: 0 }, currency),
        },
        {
          name: <Term id="shortfall">Expected shortfall, 97.5 %</Term>,
          num: true,
          label: "Expected shortfall, 97.5 %",
          cell: (b) => estimateText(at(b, 0.975)?.expected_shortfall ?? { value: 0, error: 0 }, currency),
        },
        {
          name: "Defects",
          num: true,
          label: "Defects",
          cell: (b) => (
            <>
              {number(Math.round(b.defects.expected.value))} expected ({Math.round(b.defects.expected.low)} to{" "}
              {Math.round(b.defects.expected.high)}); found: {b.defects.open} open, {b.defects.put_right} put right
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
  return (
    <Note>
      The expected loss is more than the {number(100 * first.level)} % value at risk: most years cost less than
      expected, and a few rare ones, with a fire or an injury, cost so much that they carry it. Look at the expected
      shortfall.
    </Note>
  );
}

/** All levels of one book, each with its Monte Carlo error. */
export function TailTable({ book, currency }: { book: BookResult; currency: string }) {
  return (
    <Table
      label="Tail of the coming year"
      data={{ "data-tail": true }}
      columns={[
        { name: "Level", head: true, cell: (t) => <>{number(100 * t.level)} %</> },
        { name: "Value at risk", num: true, cell: (t) => estimateText(t.value_at_risk, currency) },
        { name: "Expected shortfall", num: true, cell: (t) => estimateText(t.expected_shortfall, currency) },
      ]}
      rows={book.tail}
      keyOf={(t) => t.level}
    />
  );
}
