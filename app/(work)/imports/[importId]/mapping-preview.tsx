import { Table } from "@/app/_ui/table.tsx";
import { MAPPING } from "@/app/_words/mapping.ts";
import type { Mapping, MappingPreview as Preview } from "@/lib/reads/import-mapping-view.ts";
import { ReasonsTable } from "./reasons-table.tsx";
import { WholeCountPanel } from "./whole-count-panel.tsx";

const number = (n: number) => n.toLocaleString("en-US");

interface Props {
  base: string;
  file: string;
  mapping: Mapping;
  preview: Preview;
  whole: boolean;
}

/** What would be stored and what would be set aside: of the rows that were looked at, and then of all. */
export function MappingPreview({ base, file, mapping, preview, whole }: Props) {
  return (
    <section aria-label={MAPPING.preview}>
      <h3>{MAPPING.whatComes}</h3>
      <p role="status">
        {MAPPING.usable(whole, number(preview.looked), number(preview.usable), number(preview.setAside))}
      </p>
      {preview.reasons.length > 0 ? <ReasonsTable label={MAPPING.whySetAside} reasons={preview.reasons} /> : null}
      {whole ? null : <WholeCountPanel base={base} file={file} mapping={mapping} />}
      <details open>
        <summary>{MAPPING.firstRows}</summary>
        <Table
          label={MAPPING.firstRows}
          rows={preview.rows}
          keyOf={(row) => row.line}
          columns={[
            { name: MAPPING.line, num: true, cell: (row) => row.line },
            ...preview.header.map((name, i) => ({ name, cell: (row: Preview["rows"][number]) => row.cells[i] ?? "" })),
            { name: MAPPING.wouldBe, cell: (row) => (row.setAside ? MAPPING.aside(row.setAside) : MAPPING.used) },
          ]}
        />
      </details>
    </section>
  );
}
