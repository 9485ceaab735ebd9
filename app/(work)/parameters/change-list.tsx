import { number } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { CHANGE_LIST } from "@/app/_words/parameters.ts";
import type { ParameterChange } from "@/lib/diagnose/parameter-overrides.ts";

type Change = ParameterChange & { restsOn?: string };

/** Rows before and after, with the outcomes that moved them where they were learned. */
export function ChangeList({ changes }: { changes: Change[] }) {
  const learned = changes.some((c) => c.restsOn !== undefined);
  return (
    <Table
      label={CHANGE_LIST.rowsThatDiffer}
      columns={[
        { name: CHANGE_LIST.row, cell: (c) => <code>{c.key}</code> },
        { name: CHANGE_LIST.unit, cell: (c) => c.unit },
        { name: CHANGE_LIST.before, num: true, cell: (c) => number(c.from.value) },
        { name: CHANGE_LIST.after, num: true, cell: (c) => number(c.to.value) },
        { name: CHANGE_LIST.spreadBefore, num: true, cell: (c) => number(c.from.spread) },
        { name: CHANGE_LIST.spreadAfter, num: true, cell: (c) => number(c.to.spread) },
        ...(learned ? [{ name: CHANGE_LIST.restsOn, cell: (c: Change) => c.restsOn }] : []),
      ]}
      rows={changes}
      keyOf={(c) => c.key}
    />
  );
}
