import { Wide } from "@/app/_ui/wide.tsx";
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
      <Wide label="Serial defects by hardware batch">
        <table data-serial>
          <thead>
            <tr>
              <th scope="col">Batch</th>
              <th scope="col" className="num">
                Sites
              </th>
              <th scope="col" className="num">
                Expected with a defect
              </th>
              <th scope="col" className="num">
                From so many
              </th>
              <th scope="col" className="num">
                Chance (± standard error)
              </th>
            </tr>
          </thead>
          <tbody>
            {serial.map((s) => (
              <tr key={s.batch}>
                <th scope="row">{s.batch}</th>
                <td className="num">{s.sites}</td>
                <td className="num">{s.expected.toFixed(1)}</td>
                <td className="num">{s.least}</td>
                <td className="num">
                  {percent(s.probability.value)} ± {percent(s.probability.error)}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </>
  );
}
