import Link from "next/link";
import { estimateText, number, rangedMoney } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { BookResult } from "@/lib/reads/exposure-stored.ts";

const at = (book: BookResult, level: number) => book.tail.find((t) => t.level === level);

/** Books side by side; the last line is all of them together. */
export function BookTable({ books, currency }: { books: BookResult[]; currency: string }) {
  return (
    <Wide label="Books">
      <table className="ranked" data-books>
        <thead>
          <tr>
            <th scope="col">Book</th>
            <th scope="col" className="num">
              Sites
            </th>
            <th scope="col" className="num">
              Expected, net
            </th>
            <th scope="col" className="num">
              Expected, gross
            </th>
            <th scope="col" className="num">
              Value at risk, 95 %
            </th>
            <th scope="col" className="num">
              Expected shortfall, 97.5 %
            </th>
            <th scope="col" className="num">
              Defects
            </th>
          </tr>
        </thead>
        <tbody>
          {books.map((b) => (
            <tr key={b.book ?? ""} data-book={b.book ?? "all"}>
              <td className="site">
                {b.book === null ? (
                  <strong>All books</strong>
                ) : (
                  <Link href={`/exposure/books/${encodeURIComponent(b.book)}`}>{b.book}</Link>
                )}
              </td>
              <td className="num" data-label="Sites">
                {b.sites}
              </td>
              <td className="num" data-label="Expected, net">
                {rangedMoney(b.expected_net, currency)}
              </td>
              <td className="num" data-label="Expected, gross">
                {rangedMoney(b.expected_gross, currency)}
              </td>
              <td className="num" data-label="Value at risk, 95 %">
                {estimateText(at(b, 0.95)?.value_at_risk ?? { value: 0, error: 0 }, currency)}
              </td>
              <td className="num" data-label="Expected shortfall, 97.5 %">
                {estimateText(at(b, 0.975)?.expected_shortfall ?? { value: 0, error: 0 }, currency)}
              </td>
              <td className="num" data-label="Defects">
                {number(Math.round(b.defects.expected.value))} expected ({Math.round(b.defects.expected.low)} to{" "}
                {Math.round(b.defects.expected.high)}); found: {b.defects.open} open, {b.defects.put_right} put right
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

/** Said where a few rare years carry the expectation: a plain reading of the quantiles would mislead. */
export function HeavyTail({ book }: { book: BookResult }) {
  const first = book.tail[0];
  if (!first || first.value_at_risk.value > book.expected_net.value) return null;
  return (
    <p className="note">
      The expected loss is more than the {number(100 * first.level)} % value at risk: most years cost less than
      expected, and a few rare ones, with a fire or an injury, cost so much that they carry it. Look at the expected
      shortfall.
    </p>
  );
}

/** All levels of one book, each with its Monte Carlo error. */
export function TailTable({ book, currency }: { book: BookResult; currency: string }) {
  return (
    <Wide label="Tail of the coming year">
      <table data-tail>
        <thead>
          <tr>
            <th scope="col">Level</th>
            <th scope="col" className="num">
              Value at risk
            </th>
            <th scope="col" className="num">
              Expected shortfall
            </th>
          </tr>
        </thead>
        <tbody>
          {book.tail.map((t) => (
            <tr key={t.level}>
              <th scope="row">{number(100 * t.level)} %</th>
              <td className="num">{estimateText(t.value_at_risk, currency)}</td>
              <td className="num">{estimateText(t.expected_shortfall, currency)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
