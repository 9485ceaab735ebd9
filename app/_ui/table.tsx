import type { ReactNode } from "react";
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
  cell: (row: Row, index: number) => ReactNode;
}

interface Props<Row> {
  /** What the table holds; also the name of the region that scrolls. */
  label: string;
  columns: readonly Column<Row>[];
  rows: readonly Row[];
  keyOf: (row: Row, index: number) => string;
  /** A last row of sums, one cell for each column. */
  foot?: readonly ReactNode[];
  className?: string;
  /** Name of the table for tests and print styles: `data-table`. */
  name?: string;
}

const classOf = (...names: (string | false | undefined)[]) => names.filter(Boolean).join(" ") || undefined;

/** The one table of the product: headings, numbers at the right, wider than the screen where it must be. */
export function Table<Row>({ label, columns, rows, keyOf, foot, className, name }: Props<Row>) {
  return (
    <Wide label={label}>
      <table className={className} data-table={name}>
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
          {rows.map((row, i) => (
            <tr key={keyOf(row, i)}>
              {columns.map((c, k) => {
                const cell = c.cell(row, i);
                return c.head ? (
                  <th key={k} scope="row" className={classOf(c.className)}>
                    {cell}
                  </th>
                ) : (
                  <td key={k} className={classOf(c.num && "num", c.className)}>
                    {cell}
                  </td>
                );
              })}
            </tr>
          ))}
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
