import { Figure } from "@/app/_ui/figure.tsx";
import { ageText, smallNumber } from "@/app/_ui/format.ts";
import { Term } from "@/app/_ui/term.tsx";
import { Sentence } from "@/app/_ui/units.tsx";
import type { SiteView } from "@/lib/reads/site-view.ts";

const DRIVER_SAYS: Record<string, string> = {
  none: "Its ground faults do not follow the weather.",
  rain: "Its ground faults come with rain.",
  dew: "Its ground faults come with dew.",
  any_wet: "Its ground faults come when the array is wet, by rain or dew.",
  hot: "Its ground faults come when the modules are hot.",
  thunder: "Its ground faults come with thunderstorms.",
  wind: "Its ground faults come with wind.",
  not_enough_data: "Not enough data to tell whether weather drives its ground faults.",
  weather_unknown:
    "The weather is unknown, so its ground faults could not be set against it. That is a gap, not an all-clear.",
};

/** Wet against dry. */
export function WeatherPanel({ view }: { view: SiteView }) {
  const w = view.score.weather;
  const bound = (value: number | null) => (value === null ? "no limit" : value.toFixed(1));
  return (
    <section>
      <h2>Wet against dry</h2>
      <p>{DRIVER_SAYS[w.driver]}</p>
      <table>
        <tbody>
          <tr>
            <th scope="row">
              <Term id="rate-ratio">Rate ratio, wet : dry</Term>
            </th>
            <td className="num">
              <Figure of="rate-ratio">{w.rate_ratio === null ? "not given" : `${w.rate_ratio.toFixed(1)}`}</Figure>
            </td>
          </tr>
          <tr>
            <th scope="row">
              <Term id="interval">95 % interval</Term>
            </th>
            <td className="num">
              <Figure of="rate-ratio">{w.low === null ? "not given" : `${bound(w.low)} to ${bound(w.high)}`}</Figure>
            </td>
          </tr>
          <tr>
            <th scope="row">
              <Term id="p-and-q">p</Term>, by moving the weather day by day
            </th>
            <td className="num">
              <Figure of="p-value">{smallNumber(w.p_value)}</Figure>
            </td>
          </tr>
          <tr>
            <th scope="row">
              <Term id="p-and-q">q</Term>, adjusted across the fleet
            </th>
            <td className="num">
              <Figure of="q-value">{smallNumber(w.q_value)}</Figure>
            </td>
          </tr>
          <tr>
            <th scope="row">
              Wet: onsets in <Term id="hours-at-risk">unit-hours at risk</Term>
            </th>
            <td className="num">
              <Figure of="wet">
                {w.wet_episodes} in {Math.round(w.wet_hours).toLocaleString("en-US")} h
              </Figure>
            </td>
          </tr>
          <tr>
            <th scope="row">Dry: onsets in unit-hours at risk</th>
            <td className="num">
              <Figure of="dry">
                {w.dry_episodes} in {Math.round(w.dry_hours).toLocaleString("en-US")} h
              </Figure>
            </td>
          </tr>
        </tbody>
      </table>
      <p className="soft">
        <Figure of="station">
          <Sentence says={view.station.says} />
          {view.station.coverage === null
            ? ""
            : ` Weather is known for ${Math.round(view.station.coverage * 100)} % of the hours of the log.`}
          {view.station.newestHour
            ? ` Its newest hour was observed ${ageText(view.station.newestHour.at, view.station.newestHour.now)}.`
            : ""}
        </Figure>
      </p>
    </section>
  );
}
