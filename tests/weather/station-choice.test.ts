import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import type { Station } from "../../lib/core/records.ts";
import { chooseStation, StationChooser } from "../../lib/weather/station-choice.ts";

const station = (
  stationId: string,
  latitude: number | null,
  longitude: number | null,
  aliases: string[] = [],
): Station => ({
  stationId,
  name: null,
  latitude,
  longitude,
  elevationM: null,
  timeZone: null,
  aliases,
});
const SITE = { latitude: 41, longitude: -93, stationId: null };

describe("chooseStation", () => {
  test("takes the nearest with coordinates within 60 km", () => {
    const choice = chooseStation(SITE, [
      station("far", 41.4, -93),
      station("near", 41.1, -93),
      station("nowhere", null, null),
    ]);
    expect(choice).toMatchObject({ kind: "station", stationId: "near", named: false });
    if (choice.kind === "station") expect(choice.distanceKm).toBeCloseTo(11.1, 1);
  });

  test("beyond 60 km the weather is unknown, and it says how far the nearest is", () => {
    const choice = chooseStation(SITE, [station("far", 41.6, -93)]);
    expect(choice).toMatchObject({ kind: "none" });
    expect(choice.says).toMatch(/67 km.*unknown/);
    expect(chooseStation(SITE, []).says).toMatch(/unknown/);
  });

  test("a station that the site names wins, by id or alias, however far and even without coordinates", () => {
    const all = [station("near", 41.1, -93), station("named", null, null, ["KXYZ"]), station("distant", 45, -93)];
    expect(chooseStation({ ...SITE, stationId: "KXYZ" }, all)).toMatchObject({
      kind: "station",
      stationId: "named",
      distanceKm: null,
      named: true,
    });
    expect(chooseStation({ ...SITE, stationId: "distant" }, all)).toMatchObject({
      kind: "station",
      stationId: "distant",
    });
    expect(chooseStation({ ...SITE, stationId: "typo" }, all)).toMatchObject({ kind: "none" });
  });

  test("names up to two others within the limit to stand in, and puts a mountain behind its neighbours", () => {
    const high = { ...station("peak", 41.05, -93), elevationM: 1900 };
    const near = { ...station("near", 41.2, -93), elevationM: 300 };
    const next = { ...station("next", 40.7, -93), elevationM: 280 };
    const far = { ...station("far", 41.9, -93), elevationM: 290 };
    const choice = chooseStation(SITE, [high, near, next, far]);
    expect(choice).toMatchObject({ kind: "station", stationId: "near" });
    if (choice.kind !== "station") return;
    expect(choice.helpers.map((h) => h.stationId)).toEqual(["next", "peak"]);
    expect(choice.helpers[0]?.heightM).toBe(-20);
  });

  test("a station that the site names stands alone", () => {
    const choice = chooseStation({ ...SITE, stationId: "distant" }, [
      station("near", 41.1, -93),
      station("distant", 45, -93),
    ]);
    expect(choice).toMatchObject({ stationId: "distant", helpers: [] });
  });

  test("for many sites chooses as for each alone", () => {
    const rng = seededRng("chooser");
    const some = Array.from({ length: 60 }, (_, i) => ({
      ...station(`s${i}`, 40 + 6 * rng(), -96 + 8 * rng()),
      elevationM: rng() < 0.2 ? null : 900 * rng(),
    }));
    const chooser = new StationChooser([...some, station("unplaced", null, null)]);
    for (let i = 0; i < 300; i++) {
      const site = { latitude: 38 + 10 * rng(), longitude: -98 + 12 * rng(), stationId: i % 50 === 0 ? "s3" : null };
      expect(chooser.choose(site)).toEqual(chooseStation(site, [...some, station("unplaced", null, null)]));
    }
  });
});
