import type { CsvRecord } from "../contract/csv-records.ts";
import type { FileSpec } from "../contract/file-spec.ts";
import type { ParsedRow, Reject, RowParser } from "../contract/row-parser.ts";
import type { AccountRecords } from "./known-records.ts";

/** Sections may name each other in any order, so a bond to a section is judged when all rows of the file are known. */
export class SectionLinks {
  readonly #known: AccountRecords;
  readonly #at: { site: number; section: number; bondedTo: number } | null;
  readonly #own = new Set<string>();
  readonly #open: { site: string; own: string; target: string; reject: Reject }[] = [];

  constructor(spec: FileSpec, columns: RowParser["columns"], known: AccountRecords) {
    const place = (name: string) => columns.findIndex((c) => c.name === name);
    this.#known = known;
    this.#at =
      spec.kind === "sections"
        ? { site: place("site_id"), section: place("section_id"), bondedTo: place("bonded_to") }
        : null;
  }

  look({ values, line }: ParsedRow, record: CsvRecord): void {
    const at = this.#at;
    if (!at) return;
    const site = values[at.site] ?? "";
    const own = values[at.section] ?? "";
    this.#own.add(`${site}\n${own}`);
    const target = at.bondedTo >= 0 ? values[at.bondedTo] : null;
    if (!target || target === "bus") return;
    const reason =
      target === own
        ? "a section cannot be bonded to itself"
        : `site ${site} has no section ${target} to be bonded to (a section_id of the same site, or bus)`;
    this.#open.push({
      site,
      own,
      target,
      reject: { line, column: "bonded_to", value: target, reason, cells: record.cells },
    });
  }

  unresolved(): Reject[] {
    return this.#open
      .filter(
        ({ site, own, target }) =>
          target === own || !(this.#own.has(`${site}\n${target}`) || this.#known.hasSection(site, target)),
      )
      .map(({ reject }) => reject);
  }
}
