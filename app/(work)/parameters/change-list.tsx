import { number } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import type { ParameterChange } from "@/lib/diagnose/parameter-overrides.ts";

type Change = ParameterChange & { restsOn?: string };

/** Rows before and after, with the outcomes that moved them where they were learned. */
export function ChangeList({ changes }: { changes: Change[] }) {
  const learned = changes.some((c) => c.restsOn !== undefined);
  return (
    <Table
      label="Rows that differ"
      columns={[
        { name: "Row", cell: (c) => <code>{c.key}</code> },
        { name: "Unit", cell: (c) => c.unit },
        { name: "Before", num: true, cell: (c) => number(c.from.value) },
        { name: "After", num: true, cell: (c) => number(c.to.value) },
        { name: "Spread before", num: true, cell: (c) => number(c.from.spread) },
        { name: "Spread after", num: true, cell: (c) => number(c.to.spread) },
        ...(learned ? [{ name: "Rests on", cell: (c: Change) => c.restsOn }] : []),
      ]}
      rows={changes}
      keyOf={(c) => c.key}
    />
  );
}
