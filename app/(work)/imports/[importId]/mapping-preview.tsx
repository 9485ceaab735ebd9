import { words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { MappingPreview as Preview } from "@/lib/reads/import-mapping-view.ts";

const number = (n: number) => n.toLocaleString("en-US");

/** What would be stored and what would be set aside, of the rows that were looked at. */
export function MappingPreview({ preview, whole }: { preview: Preview; whole: boolean }) {
  return (
    <section aria-label="Preview">
      <h3>What would come of it</h3>
      <p role="status">
        {whole ? "Of" : "Of the first"} {number(preview.looked)} rows {number(preview.usable)} can be used and{" "}
        {number(preview.setAside)} would be set aside. A row set aside is kept and can be corrected.
      </p>
      {preview.reasons.length > 0 ? (
        <Wide label="Why rows would be set aside">
          <table>
            <thead>
              <tr>
                <th scope="col" className="num">
                  Rows
                </th>
                <th scope="col">Column</th>
                <th scope="col">Why</th>
                <th scope="col">First of them</th>
              </tr>
            </thead>
            <tbody>
              {preview.reasons.map((r) => (
                <tr key={`${r.column}/${r.reason}`}>
                  <td className="num">{number(r.rows)}</td>
                  <td>{words(r.column)}</td>
                  <td>{r.reason}</td>
                  <td className="soft">
                    line {r.line}: {r.value || "empty"}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      ) : null}
      <details open>
        <summary>First rows as they would be stored</summary>
        <Wide label="First rows as they would be stored">
          <table>
            <thead>
              <tr>
                <th scope="col" className="num">
                  Line
                </th>
                {preview.header.map((name) => (
                  <th key={name} scope="col">
                    {name}
                  </th>
                ))}
                <th scope="col">Would be</th>
              </tr>
            </thead>
            <tbody>
              {preview.rows.map((row) => (
                <tr key={row.line}>
                  <td className="num">{row.line}</td>
                  {preview.header.map((name, i) => (
                    <td key={name}>{row.cells[i] ?? ""}</td>
                  ))}
                  <td>{row.setAside ? `set aside: ${row.setAside}` : "used"}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      </details>
    </section>
  );
}
