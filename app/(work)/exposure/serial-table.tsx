import { Table } from "@/app/_ui/table.tsx";
import { SERIAL_TABLE } from "@/app/_words/exposure.ts";
import type { ExposureDocument } from "@/lib/reads/exposure-document.ts";

const percent = (x: number) => `${(100 * x).toFixed(1)} %`;

/** How likely so many sites of one batch share a defect that a serial-defect clause is worth looking for. */
export function SerialTable({ serial }: { serial: ExposureDocument["serial"] }) {
  if (serial.length === 0) return null;
  return (
    <>
      <h2>{SERIAL_TABLE.serialDefectsByHardware}</h2>
      <p className="soft">{SERIAL_TABLE.chanceThatTheHardware}</p>
      <Table
        label={SERIAL_TABLE.serialDefectsByHardware}
        data={{ "data-serial": true }}
        columns={[
          { name: SERIAL_TABLE.batch, head: true, cell: (s) => s.batch },
          { name: SERIAL_TABLE.sites, num: true, cell: (s) => s.sites },
          { name: SERIAL_TABLE.expectedWithADefect, num: true, cell: (s) => s.expected.toFixed(1) },
          { name: SERIAL_TABLE.fromSoMany, num: true, cell: (s) => s.least },
          {
            name: SERIAL_TABLE.chanceStandardError,
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
