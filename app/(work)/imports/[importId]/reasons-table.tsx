import { words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { MAPPING } from "@/app/_words/mapping.ts";
import type { MappingPreview } from "@/lib/reads/import-mapping-view.ts";

const number = (n: number) => n.toLocaleString("en-US");

/** Why rows would be set aside, with the first of each kind. */
export function ReasonsTable({ label, reasons }: { label: string; reasons: MappingPreview["reasons"] }) {
  return (
    <Table
      label={label}
      rows={reasons}
      keyOf={(r) => `${r.column}/${r.reason}`}
      columns={[
        { name: MAPPING.rows, num: true, cell: (r) => number(r.rows) },
        { name: MAPPING.column, cell: (r) => words(r.column) },
        { name: MAPPING.why, cell: (r) => r.reason },
        { name: MAPPING.firstOfThem, className: "soft", cell: (r) => MAPPING.atLine(r.line, r.value) },
      ]}
    />
  );
}
