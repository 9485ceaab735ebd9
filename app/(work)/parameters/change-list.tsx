import { number } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { ParameterChange } from "@/lib/diagnose/parameter-overrides.ts";

type Change = ParameterChange & { restsOn?: string };

/** Rows before and after, with the outcomes that moved them where they were learned. */
export function ChangeList({ changes }: { changes: Change[] }) {
  const learned = changes.some((c) => c.restsOn !== undefined);
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
            {learned ? <th scope="col">Rests on</th> : null}
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
              {learned ? <td>{c.restsOn}</td> : null}
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
