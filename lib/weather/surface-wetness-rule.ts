export interface SurfaceHour {
  temperatureC: number;
  relativeHumidityPct: number;
  /** At or reduced to the height of the surface. */
  windMs: number;
  /** Temperature minus dew point, K. */
  dewPointDepressionC: number;
}

/**
 * Whether dew wets a surface, by the published classification rule CART/SLD/Wind. Only for comparison with our films:
 * it knows no rain and no drying, and it was fitted to leaves.
 * @returns null below freezing, where its square root has no value, and where an input is unknown
 * @source Kim, Taylor and Gleason 2002, Plant Disease 86:179; coefficients as seen in a public post that cites it
 */
export function surfaceWet({
  temperatureC: t,
  relativeHumidityPct: rh,
  windMs: w,
  dewPointDepressionC: d,
}: SurfaceHour): boolean | null {
  if (!(t >= 0) || Number.isNaN(rh + w + d)) return null;
  if (d >= 3.7) return false;
  if (w < 2.5) return 1.6064 * Math.sqrt(t) + 0.0036 * t * t + 0.1531 * rh - 0.4599 * w * d - 0.0035 * t * rh > 14.4674;
  if (rh < 87.8) return false;
  return 0.7921 * Math.sqrt(t) + 0.0046 * rh - 2.3889 * w - 0.039 * t * w + 1.0613 * w * d > 37;
}
