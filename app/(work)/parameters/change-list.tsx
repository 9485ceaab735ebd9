import { number } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { ParameterChange } from "@/lib/diagnose/parameter-overrides.ts";

type Change = ParameterChange & { looked?: number; found?: number };

/** Rows before and after, with the outcomes that moved them where they were learned. */
export function ChangeList({ changes }: { changes: Change[] }) {
  const learned = changes.some((c) => c.looked !== undefined);
  return (
    <Wide label="Rows that differ">
      <table>
        <thead>
          <tr>
            <th scope="col">Row</th>
            <th scope="col">Unit</th>
            <th scope="col" className="num">
              Before
            </th>
            <th scope="col" className="num">
              After
            </th>
            <th scope="col" className="num">
              Spread before
            </th>
            <th scope="col" className="num">
              Spread after
            </th>
            {learned ? <th scope="col">Found of looked for</th> : null}
          </tr>
        </thead>
        <tbody>
          {changes.map((c) => (
            <tr key={c.key}>
              <td>
                <code>{c.key}</code>
              </td>
              <td>{c.unit}</td>
              <td className="num">{number(c.from.value)}</td>
              <td className="num">{number(c.to.value)}</td>
              <td className="num">{number(c.from.spread)}</td>
              <td className="num">{number(c.to.spread)}</td>
              {learned ? (
                <td>
                  {c.found} of {c.looked}
                </td>
              ) : null}
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
