"use client";

import { type ReactNode, useState } from "react";
import { CHART } from "@/app/_words/shared.ts";
import { safeCsv } from "@/lib/core/safe-csv.ts";
import { Figure } from "../figure.tsx";
import { Table } from "../table.tsx";
import { downloadBlob, pictureOf } from "./download.ts";

export interface ChartTable {
  head: readonly string[];
  rows: readonly (readonly string[])[];
  /** Columns that hold words and stand left; the first always does. */
  wordColumns?: readonly number[];
  foot?: readonly string[];
  /** The working that a cell opens; its figures are then controls. */
  workingOf?: (row: number, column: number) => string | undefined;
  footWorking?: string;
  open?: boolean;
  /** Rows that a phone shows when asked. */
  later?: (row: number) => boolean;
  /** What the fold-out is called, where "The same as a table" would not be true. */
  summary?: string;
  /** A sentence above the table. */
  note?: ReactNode;
  /** The same with full figures for the file; the table's own cells where it is left out. */
  file?: { head: readonly string[]; rows: readonly (readonly (string | number | null)[])[] };
}

interface Props {
  /** Short name, `data-chart` of the picture and the name of its files. */
  name: string;
  /** What the picture is of: its name for screen readers and the heading of the PNG. */
  title: string;
  /** What it shows and how it is read. */
  says: string;
  table: ChartTable;
  /** The picture as it is on the screen; null while there is none. */
  toCanvas: () => HTMLCanvasElement | null | Promise<HTMLCanvasElement | null>;
  /** Buttons between the sentence and the picture. */
  controls?: ReactNode;
  children: ReactNode;
}

const cellText = (value: string | number | null) => (value === null ? "" : String(value));

/**
 * What every chart stands in: the sentence that says how it is read, the picture, its numbers as a table, and both as files.
 */
export function Frame({ name, title, says, table, toCanvas, controls, children }: Props) {
  const [trouble, setTrouble] = useState("");
  const savePicture = async () => {
    const canvas = await toCanvas();
    const blob = canvas ? await pictureOf(canvas, title, says) : null;
    if (blob) downloadBlob(blob, `${name}.png`);
    setTrouble(blob ? "" : CHART.notDrawn);
  };
  const saveNumbers = () => {
    const { head, rows } = table.file ?? table;
    const text = safeCsv(
      head,
      rows.map((row) => row.map(cellText)),
    );
    downloadBlob(new Blob([text], { type: "text/csv;charset=utf-8" }), `${name}.csv`);
  };
  return (
    <figure className="chart-frame" data-chart-frame={name}>
      <figcaption className="soft">{says}</figcaption>
      {controls}
      {children}
      <p className="chart-tools no-print">
        <button type="button" className="link-button" onClick={savePicture}>
          {CHART.picture}
          <span className="visually-hidden">{CHART.of(title)}</span>
        </button>
        <button type="button" className="link-button" onClick={saveNumbers}>
          {CHART.numbers}
          <span className="visually-hidden">{CHART.of(title)}</span>
        </button>
        <span role="status">{trouble}</span>
      </p>
      <TableFold title={title} table={table} />
    </figure>
  );
}

/** A cell; where it has a working and says a figure, it opens it. */
function Cell({ text, of }: { text: string; of: string | undefined }) {
  return of && /\d/.test(text) ? <Figure of={of}>{text}</Figure> : text;
}

/** Long tables are made when they are opened. */
const LONG_ROWS = 120;
/** Columns of short figures that a phone has room for. */
const MOST_FIGURES = 5;

function TableFold({ title, table }: { title: string; table: ChartTable }) {
  const [isOpen, setOpen] = useState(table.open ?? false);
  const isWord = (k: number) => k === 0 || (table.wordColumns?.includes(k) ?? false);
  return (
    <details open={table.open} onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary>{table.summary ?? CHART.asTable}</summary>
      {isOpen || table.rows.length <= LONG_ROWS ? (
        <>
          {table.note ? <p className="soft">{table.note}</p> : null}
          <Table
            label={CHART.tableOf(title)}
            phone={table.wordColumns || table.head.length > MOST_FIGURES ? "cards" : "table"}
            {...(table.later ? { later: (_: readonly string[], i: number) => table.later?.(i) ?? false } : {})}
            columns={table.head.map((name, k) => ({
              name,
              num: !isWord(k),
              cell: (row: readonly string[], i: number) => <Cell text={row[k] ?? ""} of={table.workingOf?.(i, k)} />,
            }))}
            rows={table.rows}
            keyOf={(row, i) => `${i} ${row[0]}`}
            {...(table.foot
              ? { foot: table.foot.map((text) => <Cell key={text} text={text} of={table.footWorking} />) }
              : {})}
          />
        </>
      ) : null}
    </details>
  );
}
