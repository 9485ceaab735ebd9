import { decibanText, smallNumber } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { WeatherPictureView } from "@/lib/reads/weather-picture-view.ts";

const perThousand = (episodes: number, hours: number) =>
  hours > 0 ? ((1000 * episodes) / hours).toFixed(2) : "no hours";
const interval = (low: number | null, high: number | null) =>
  low === null && high === null
    ? "not given"
    : `${(low ?? 0).toFixed(1)} to ${high === null ? "no limit" : high.toFixed(1)}`;

/** Evidence against a hypothesis of that posterior chance. */
function againstText(p: number): string {
  const held = Math.min(1 - 1e-4, Math.max(1e-4, p));
  return decibanText(10 * Math.log10((1 - held) / held));
}

/** Rates wet and dry, the tests, and how far they hang on one choice. */
export function RateTable({ view }: { view: WeatherPictureView }) {
  const rows: [string, string][] = [
    ["Wet: onsets per 1000 unit-hours", perThousand(view.wetEpisodes, view.wetHours)],
    ["Dry: onsets per 1000 unit-hours", perThousand(view.dryEpisodes, view.dryHours)],
    ["Rate ratio within hour and month", view.rateRatio === null ? "not given" : view.rateRatio.toFixed(1)],
    ["95 % interval", interval(view.low, view.high)],
    ["Exact p within strata, onsets independent", smallNumber(view.exactP)],
    ["p by shifting the weather by whole days", smallNumber(view.shift?.p ?? null)],
    ["Shifts; share that reach it", `${view.shift?.shifts ?? 0}; ${smallNumber(view.shift?.pEmpirical ?? null)}`],
    ["Overdispersion of the onsets", view.shift ? view.shift.overdispersion.toFixed(2) : "not given"],
    ["Ratio in the light of the fleet", view.shrunkRatio === null ? "not given" : view.shrunkRatio.toFixed(1)],
    [
      "Against “water does nothing here”, in the light of the fleet",
      view.noEffect === null ? "not given" : `${againstText(view.noEffect)} decibans`,
    ],
    ...view.gaps.map(
      (g) =>
        [
          `Ratio if alarms within ${g.gapHours} h are one (${g.episodes} onsets)`,
          g.ratio === null ? interval(g.low, g.high) : `${g.ratio.toFixed(1)} (${interval(g.low, g.high)})`,
        ] as [string, string],
    ),
  ];
  return (
    <section aria-label="Rates and tests">
      <h3>Rates and tests</h3>
      <p className="soft">
        Only hours at risk count. The fleet draws a ratio that rests on few onsets towards what sites are like.
      </p>
      <Wide label="Table of rates and tests">
        <table className="wrapped">
          <tbody>
            {rows.map(([name, value]) => (
              <tr key={name}>
                <th scope="row">{name}</th>
                <td className="num">{value}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}
