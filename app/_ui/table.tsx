import { Fragment, type ReactNode } from "react";
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
  /** Stands before the cell on a phone, where a `ranked` table has no headings. */
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
  /** `ranked`: rows become cards on a phone; `wrapped`: headings break over lines; `roomy`: scrolls rather than squeezes. */
  className?: string;
  data?: Data;
  rowData?: (row: Row) => Data;
  rowClass?: (row: Row) => string | undefined;
  /** What stands under a row, over its whole width; null: nothing. */
  below?: (row: Row) => ReactNode;
}

const classOf = (...names: (string | false | undefined)[]) => names.filter(Boolean).join(" ") || undefined;

/** The one table of the product: headings, numbers at the right, wider than the screen where it must be. */
export function Table<Row>({
  label,
  columns,
  rows,
  keyOf,
  foot,
  className,
  data,
  rowData,
  rowClass,
  below,
}: Props<Row>) {
  return (
    <Wide label={label}>
      <table className={className} {...data}>
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
                <tr className={rowClass?.(row)} {...rowData?.(row)}>
                  {columns.map((c, k) => {
                    const cell = c.cell(row, i);
                    return c.head ? (
                      <th key={k} scope="row" className={classOf(c.className)} data-label={c.label}>
                        {cell}
                      </th>
                    ) : (
                      <td key={k} className={classOf(c.num && "num", c.className)} data-label={c.label}>
                        {cell}
                      </td>
                    );
                  })}
                </tr>
                {under === null ? null : (
                  <tr>
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
                <td key={k} className={classOf(columns[k]?.num && "num")}>
                  {cell}
                </td>
              ))}
            </tr>
          </tfoot>
        ) : null}
      </table>
    </Wide>
  );
}
