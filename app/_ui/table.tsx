import { Fragment, type ReactNode } from "react";
import { ShortOnPhone } from "./short-on-phone.tsx";
import { Wide } from "./wide.tsx";

export interface Column<Row> {
  name: ReactNode;
  /** Numbers stand right, so that their places line up. */
  num?: boolean;
  /** The cell names its row: read out before each other cell of it. */
  head?: boolean;
  /** The heading may break over lines. */
  wraps?: boolean;
  className?: string;
  /** Stands before the cell where rows are cards; the name where that is text. Empty: nothing, for cells that say it themselves. */
  label?: string;
  cell: (row: Row, index: number) => ReactNode;
}

type Data = Record<`data-${string}`, string | number | boolean | undefined>;

interface Props<Row> {
  /** What the table holds; also the name of the region that scrolls. */
  label: string;
  columns: readonly Column<Row>[];
  rows: readonly Row[];
  keyOf: (row: Row, index: number) => string | number;
  /** A last row of sums, one cell for each column. */
  foot?: readonly ReactNode[];
  /** `ranked`: rows that one goes through; `wrapped`: headings break over lines; `flowing`: short cells of a card run on. */
  className?: string;
  /** On a phone each row is a card where the table has more columns than its screen holds (`MOST_ON_PHONE`), unless said here. */
  phone?: "cards" | "table";
  /** Rows that a phone shows when asked. A desk and a print have all. */
  later?: (row: Row, index: number) => boolean;
  data?: Data;
  rowData?: (row: Row) => Data;
  rowClass?: (row: Row) => string | undefined;
  /** What stands under a row, over its whole width; null: nothing. */
  below?: (row: Row) => ReactNode;
}

const MOST_ON_PHONE = 3;

const classOf = (...names: (string | false | undefined)[]) => names.filter(Boolean).join(" ") || undefined;

/** The one table of the product: headings, numbers at the right; on a phone its rows are cards, on a desk it scrolls where it must. */
export function Table<Row>({
  label,
  columns,
  rows,
  keyOf,
  foot,
  className,
  phone,
  later,
  data,
  rowData,
  rowClass,
  below,
}: Props<Row>) {
  const cards = (phone ?? (columns.length > MOST_ON_PHONE ? "cards" : "table")) === "cards";
  // The first cell is the heading of its card: it says what it is only where that was asked for.
  const labelOf = (c: Column<Row> | undefined, k: number) => {
    if (!cards || !c) return undefined;
    return (c.label ?? (k > 0 && typeof c.name === "string" ? c.name : "")) || undefined;
  };
  const isLater = (row: Row, i: number) => later?.(row, i) ?? false;
  const Box = rows.some(isLater) ? ShortOnPhone : Wide;
  return (
    <Box label={label}>
      <table className={classOf(className, cards && "cards")} {...data}>
        <thead>
          <tr>
            {columns.map((c, k) => (
              <th key={k} scope="col" className={classOf(c.num && "num", c.wraps && "wraps")}>
                {c.name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, i) => {
            const under = below?.(row) ?? null;
            return (
              <Fragment key={keyOf(row, i)}>
                <tr className={classOf(rowClass?.(row), isLater(row, i) && "later")} {...rowData?.(row)}>
                  {columns.map((c, k) => {
                    const cell = c.cell(row, i);
                    return c.head ? (
                      <th key={k} scope="row" className={classOf(c.className)} data-label={labelOf(c, k)}>
                        {cell}
                      </th>
                    ) : (
                      <td key={k} className={classOf(c.num && "num", c.className)} data-label={labelOf(c, k)}>
                        {cell}
                      </td>
                    );
                  })}
                </tr>
                {under === null ? null : (
                  <tr className={isLater(row, i) ? "later" : undefined}>
                    <td colSpan={columns.length}>{under}</td>
                  </tr>
                )}
              </Fragment>
            );
          })}
        </tbody>
        {foot ? (
          <tfoot>
            <tr>
              {foot.map((cell, k) => (
                <td key={k} className={classOf(columns[k]?.num && "num")} data-label={labelOf(columns[k], k)}>
                  {cell}
                </td>
              ))}
            </tr>
          </tfoot>
        ) : null}
      </table>
    </Box>
  );
}
