import type { Station } from "../core/records.ts";
import { stations, stationsBetween } from "../store/site-records.ts";
import type { Sql } from "../store/transaction.ts";
import { STATION_REACH_DEGREES, type StationChoice, StationChooser } from "../weather/station-choice.ts";

type VersionedStation = Station & { version: number };
interface Place {
  latitude: number;
  longitude: number;
  station_id: string | null;
}

/**
 * The stations that sites take, in the order of the sites, with what is stored of these stations.
 * @param isWhole false: a few sites, for which those near their latitudes are read alone where these settle it
 */
export async function chosenStations(
  tx: Sql,
  sites: readonly Place[],
  isWhole: boolean,
): Promise<{ known: Map<string, VersionedStation>; choices: StationChoice[] }> {
  const chosen = (known: Map<string, VersionedStation>) => {
    const chooser = new StationChooser([...known.values()]);
    const choices = sites.map(({ latitude, longitude, station_id: stationId }) =>
      chooser.choose({ latitude, longitude, stationId }),
    );
    return { known, choices };
  };
  // A name may be an alias of any, and how far the nearest is takes all of them.
  if (isWhole || sites.some((site) => site.station_id !== null)) return chosen(await stations(tx));
  const latitudes = sites.map((site) => site.latitude);
  const near = chosen(await stationsBetween(tx, latitudes, STATION_REACH_DEGREES));
  return near.choices.every((choice) => choice.kind === "station") ? near : chosen(await stations(tx));
}
