import { Figure } from "@/app/_ui/figure.tsx";
import { ageText, smallNumber } from "@/app/_ui/format.ts";
import { PhoneFold } from "@/app/_ui/phone-fold.tsx";
import { Term } from "@/app/_ui/term.tsx";
import { Sentence } from "@/app/_ui/units.tsx";
import { WEATHER_PANEL } from "@/app/_words/site-evidence.ts";
import type { SiteView } from "@/lib/reads/site-view.ts";

const DRIVER_SAYS: Record<string, string> = {
  none: WEATHER_PANEL.itsGroundFaultsDo,
  rain: WEATHER_PANEL.itsGroundFaultsCome,
  dew: WEATHER_PANEL.itsGroundFaultsComeWith,
  any_wet: WEATHER_PANEL.itsGroundFaultsComeWhen,
  hot: WEATHER_PANEL.itsGroundFaultsComeWhenThe,
  thunder: WEATHER_PANEL.itsGroundFaultsComeWithThunderstorms,
  wind: WEATHER_PANEL.itsGroundFaultsComeWithWind,
  not_enough_data: WEATHER_PANEL.notEnoughDataTo,
  weather_unknown: WEATHER_PANEL.theWeatherIsUnknown,
};

/** Wet against dry. */
export function WeatherPanel({ view }: { view: SiteView }) {
  const w = view.score.weather;
  const bound = (value: number | null) => (value === null ? WEATHER_PANEL.noLimit : value.toFixed(1));
  return (
    <section>
      <PhoneFold title={WEATHER_PANEL.wetAgainstDry}>
        <p>{DRIVER_SAYS[w.driver]}</p>
        <table>
          <tbody>
            <tr>
              <th scope="row">
                <Term id="rate-ratio">{WEATHER_PANEL.rateRatioWetDry}</Term>
              </th>
              <td className="num">
                <Figure of="rate-ratio">
                  {w.rate_ratio === null ? WEATHER_PANEL.notGiven : `${w.rate_ratio.toFixed(1)}`}
                </Figure>
              </td>
            </tr>
            <tr>
              <th scope="row">
                <Term id="interval">{WEATHER_PANEL.interval}</Term>
              </th>
              <td className="num">
                <Figure of="rate-ratio">
                  {w.low === null ? WEATHER_PANEL.notGiven : WEATHER_PANEL.to(bound(w.low), bound(w.high))}
                </Figure>
              </td>
            </tr>
            <tr>
              <th scope="row">
                <Term id="p-and-q">p</Term>
                {WEATHER_PANEL.byMovingTheWeather}
              </th>
              <td className="num">
                <Figure of="p-value">{smallNumber(w.p_value)}</Figure>
              </td>
            </tr>
            <tr>
              <th scope="row">
                <Term id="p-and-q">q</Term>
                {WEATHER_PANEL.adjustedAcrossTheFleet}
              </th>
              <td className="num">
                <Figure of="q-value">{smallNumber(w.q_value)}</Figure>
              </td>
            </tr>
            <tr>
              <th scope="row">
                {WEATHER_PANEL.wetOnsetsIn} <Term id="hours-at-risk">{WEATHER_PANEL.unitHoursAtRisk}</Term>
              </th>
              <td className="num">
                <Figure of="wet">
                  {WEATHER_PANEL.inH(w.wet_episodes, Math.round(w.wet_hours).toLocaleString("en-US"))}
                </Figure>
              </td>
            </tr>
            <tr>
              <th scope="row">{WEATHER_PANEL.dryOnsetsInUnit}</th>
              <td className="num">
                <Figure of="dry">
                  {WEATHER_PANEL.inH2(w.dry_episodes, Math.round(w.dry_hours).toLocaleString("en-US"))}
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
              : WEATHER_PANEL.weatherIsKnownFor(Math.round(view.station.coverage * 100))}
            {view.station.newestHour
              ? WEATHER_PANEL.itsNewestHourWas(ageText(view.station.newestHour.at, view.station.newestHour.now))
              : ""}
          </Figure>
        </p>
      </PhoneFold>
    </section>
  );
}
