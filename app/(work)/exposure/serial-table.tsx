import { Table } from "@/app/_ui/table.tsx";
import type { ExposureDocument } from "@/lib/reads/exposure-document.ts";

const percent = (x: number) => `${(100 * x).toFixed(1)} %`;

/** How likely so many sites of one batch share a defect that a serial-defect clause is worth looking for. */
export function SerialTable({ serial }: { serial: ExposureDocument["serial"] }) {
  if (serial.length === 0) return null;
  return (
    <>
      <h2>Serial defects by hardware batch</h2>
      <p className="soft">
        Chance that the hardware of at least so many sites of a batch does not bond (open or high-resistance bond), over
        the same drawn years. Where a contract has a serial-defect clause, its own count and share govern.
      </p>
      <Table
        label="Serial defects by hardware batch"
        data={{ "data-serial": true }}
        columns={[
          { name: "Batch", head: true, cell: (s) => s.batch },
          { name: "Sites", num: true, cell: (s) => s.sites },
          { name: "Expected with a defect", num: true, cell: (s) => s.expected.toFixed(1) },
          { name: "From so many", num: true, cell: (s) => s.least },
          {
            name: "Chance (± standard error)",
            num: true,
            cell: (s) => (
              <>
                {percent(s.probability.value)} ± {percent(s.probability.error)}
              </>
            ),
          },
        ]}
        rows={serial}
        keyOf={(s) => s.batch}
      />
    </>
  );
}
