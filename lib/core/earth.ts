/** Mean earth radius, km (IUGG mean radius R1). */
const EARTH_RADIUS_KM = 6371.0088;

export interface LatLon {
  /** Degrees north, WGS 84. */
  latitude: number;
  /** Degrees east, WGS 84. */
  longitude: number;
}

/**
 * Great-circle distance by the haversine formula.
 * @returns km; error against the ellipsoid at most about 0.5 %
 */
export function distanceKm(a: LatLon, b: LatLon): number {
  const rad = Math.PI / 180;
  const dLat = (b.latitude - a.latitude) * rad;
  const dLon = (b.longitude - a.longitude) * rad;
  const h = Math.sin(dLat / 2) ** 2 + Math.cos(a.latitude * rad) * Math.cos(b.latitude * rad) * Math.sin(dLon / 2) ** 2;
  return 2 * EARTH_RADIUS_KM * Math.asin(Math.min(1, Math.sqrt(h)));
}
