import { HOUR_MS, unknownSeries, type WeatherSeries } from "../lib/core/weather-series.ts";
import { monthOf } from "../lib/weather/packing.ts";
import type { StationSky } from "./sky.ts";

const tenths = (value: number) => Number(value.toFixed(1));

/** The months of a station's weather with the values that its weather.csv would hold. */
export function* packedMonths(sky: StationSky): Generator<{ month: string; series: WeatherSeries }> {
  const first = sky.firstEnd / HOUR_MS;
  const hours = sky.rainMm.length;
  const series = unknownSeries(sky.station.stationId, first, hours);
  for (let h = 0; h < hours; h++) {
    if (sky.missing[h]) continue;
    series.precipitationMm[h] = tenths(sky.rainMm[h] as number);
    series.temperatureC[h] = tenths(sky.temperatureC[h] as number);
    series.dewPointC[h] = tenths(sky.dewPointC[h] as number);
    series.windMs[h] = tenths(sky.windMs[h] as number);
    series.thunder[h] = sky.thunder[h] as 0 | 1;
  }
  for (let at = first; at < first + hours; ) {
    const { month, firstHour, hours: inMonth } = monthOf(at);
    yield { month, series };
    at = firstHour + inMonth;
  }
}
