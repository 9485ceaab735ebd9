import { wideBy } from "@/app/_ui/placed.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { BookResult } from "@/lib/reads/exposure-stored.ts";

/** Expected defects at the last score of each month. */
export function Trend({ book }: { book: BookResult }) {
  const { trend } = book;
  const most = Math.max(1, ...trend.map((m) => m.high));
  return (
    <>
      <h2>Trend</h2>
      <p className="soft">
        Sites expected to have a bonding or grounding defect, from each site's last score of the month.
        {trend.length < 2 ? " There is one month of scores so far; the trend begins with the next." : ""}
      </p>
      <Wide label="Trend by month">
        <table>
          <thead>
            <tr>
              <th scope="col">Month</th>
              <th scope="col" className="num">
                Sites scored
              </th>
              <th scope="col" className="num">
                Defects expected (5 % to 95 %)
              </th>
            </tr>
          </thead>
          <tbody>
            {trend.map((m) => (
              <tr key={m.month}>
                <th scope="row">{m.month}</th>
                <td className="num">{m.sites}</td>
                <td className="num">
                  {m.expected_defects.toFixed(1)} ({m.low.toFixed(1)} to {m.high.toFixed(1)})
                  <div aria-hidden="true">
                    <span className={`share ${wideBy((100 * m.expected_defects) / most)}`} />
                  </div>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </>
  );
}
