/** A document as its reader sees it, before anything is drawn: every word on the page is in here. */
export interface ReportDocument {
  title: string;
  subtitle: string;
  /** Label and value, in pairs under the title. */
  facts: [label: string, value: string][];
  sections: ReportSection[];
  /** At the foot of every page, before the page's number. */
  footer: string;
  /** Epoch ms that the file says it was made at. */
  madeAt: number;
}

export interface ReportSection {
  heading: string;
  paragraphs: string[];
  table?: ReportTable;
  /** Sentences under the table. */
  after?: string[];
}

export interface ReportTable {
  columns: { head: string /** Share of the width; shares need not sum to 1. */; share: number; right?: boolean }[];
  /** One cell a column. */
  rows: string[][];
}
