import { decibanText, smallNumber } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import { RATE_TABLE } from "@/app/_words/site-weather.ts";
import type { WeatherPictureView } from "@/lib/reads/weather-picture-view.ts";

const perThousand = (episodes: number, hours: number) =>
  hours > 0 ? ((1000 * episodes) / hours).toFixed(2) : RATE_TABLE.noHours;
const interval = (low: number | null, high: number | null) =>
  low === null && high === null
    ? RATE_TABLE.notGiven
    : `${(low ?? 0).toFixed(1)} to ${high === null ? RATE_TABLE.noLimit : high.toFixed(1)}`;

/** Evidence against a hypothesis of that posterior chance. */
function againstText(p: number): string {
  const held = Math.min(1 - 1e-4, Math.max(1e-4, p));
  return decibanText(10 * Math.log10((1 - held) / held));
}

/** Rates wet and dry, the tests, and how far they hang on one choice. */
export function RateTable({ view }: { view: WeatherPictureView }) {
  const rows: [string, string][] = [
    [RATE_TABLE.wetOnsetsPerUnit, perThousand(view.wetEpisodes, view.wetHours)],
    [RATE_TABLE.dryOnsetsPerUnit, perThousand(view.dryEpisodes, view.dryHours)],
    [RATE_TABLE.rateRatioWithinHour, view.rateRatio === null ? RATE_TABLE.notGiven : view.rateRatio.toFixed(1)],
    ["95 % interval", interval(view.low, view.high)],
    [RATE_TABLE.exactPWithinStrata, smallNumber(view.exactP)],
    [RATE_TABLE.pByShiftingThe, smallNumber(view.shift?.p ?? null)],
    [RATE_TABLE.shiftsShareThatReach, `${view.shift?.shifts ?? 0}; ${smallNumber(view.shift?.pEmpirical ?? null)}`],
    [RATE_TABLE.overdispersionOfTheOnsets, view.shift ? view.shift.overdispersion.toFixed(2) : RATE_TABLE.notGiven],
    [RATE_TABLE.ratioInTheLight, view.shrunkRatio === null ? RATE_TABLE.notGiven : view.shrunkRatio.toFixed(1)],
    [
      RATE_TABLE.againstWaterDoesNothing,
      view.noEffect === null ? RATE_TABLE.notGiven : RATE_TABLE.decibans(againstText(view.noEffect)),
    ],
    ...view.gaps.map(
      (g) =>
        [
          RATE_TABLE.ratioIfAlarmsWithin(g.gapHours, g.episodes),
          g.ratio === null ? interval(g.low, g.high) : `${g.ratio.toFixed(1)} (${interval(g.low, g.high)})`,
        ] as [string, string],
    ),
  ];
  return (
    <section aria-label={RATE_TABLE.ratesAndTests}>
      <h3>{RATE_TABLE.ratesAndTests}</h3>
      <p className="soft">{RATE_TABLE.onlyHoursAtRisk}</p>
      <Wide label={RATE_TABLE.tableOfRatesAnd}>
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
