import type { Inspection, Instant, LocalDay, SiteRecords } from "../core/records.ts";
import type { ItemFound } from "./completeness.ts";

/** A removed part with what was written down of it. */
export interface CustodyFact {
  tag: string;
  photographed: boolean;
  /** Handovers signed by both hands, oldest first. */
  handovers: { to: string; storedAt: string; signed: boolean }[];
}

/** What the records of a site hold, as far as evidence goes. */
export interface CompletenessFacts {
  records: Pick<SiteRecords, "site" | "inverters" | "sections" | "inspections">;
  /** Rows of its fault log. */
  faultRows: number;
  /** Times of photos, null where the phone gave none. */
  photos: readonly { takenAt: Instant | null }[];
  custody: readonly CustodyFact[];
  /** Whether each log's clock is proved: an accepted correction, or a test that found nothing against it. Null: not tested. */
  clockProved: boolean | null;
  /** Share of the hours of the log of which the weather is known, 0 to 1; null: no station. */
  weatherKnown: number | null;
  /** Records before this instant do not count: of a claim, those long before its discovery. Null: all count. */
  since: Instant | null;
}

/** Hours of weather that must be known for the record to hold. Engineering judgement. */
export const WEATHER_KNOWN_SHARE = 0.9;
/** A calibration older than this when the reading was taken is not taken for one. Common practice, no source. */
export const CALIBRATION_DAYS = 366;

/** Evidence of a claim counts from so many days before its discovery on. Engineering judgement. */
export const CLAIM_LOOK_BACK_DAYS = 365;

/** The instant from which evidence of claims counts; null without one. */
export const claimSince = (claims: readonly { discoveredOn: LocalDay }[]): Instant | null =>
  claims.length === 0
    ? null
    : Math.min(...claims.map((claim) => Date.parse(`${claim.discoveredOn}T00:00:00Z`))) -
      CLAIM_LOOK_BACK_DAYS * 86_400_000;

const inTime = (at: Instant, since: Instant | null) => since === null || at >= since;

function isCalibrated(row: Inspection): boolean {
  if (row.value === null || row.instrumentSerial === null || row.calibratedOn === null) return false;
  const age = (row.inspectedAt.at - Date.parse(`${row.calibratedOn}T00:00:00Z`)) / 86_400_000;
  return age >= -1 && age <= CALIBRATION_DAYS;
}

/** Which items of evidence are there. An empty cell is missing, never there. */
export function evidenceItems(facts: CompletenessFacts): ItemFound[] {
  return [
    datedPhoto(facts),
    measuredValue(facts),
    inspectorLicence(facts),
    partIdentity(facts),
    eventLog(facts),
    weatherRecord(facts),
    custody(facts),
  ];
}

function datedPhoto({ photos, since }: CompletenessFacts): ItemFound {
  const dated = photos.filter((p) => p.takenAt !== null && inTime(p.takenAt, since)).length;
  const undated = photos.filter((p) => p.takenAt === null).length;
  const says =
    dated > 0
      ? `${dated} dated ${dated === 1 ? "photo" : "photos"}.`
      : undated > 0
        ? `${undated} photos, none of which says when it was taken. Take one with the time left in.`
        : "No photo of a visit. Take one of what is found, before anything is moved.";
  return { item: "dated_photo", present: dated > 0, says };
}

function measuredValue({ records, since }: CompletenessFacts): ItemFound {
  const read = records.inspections.filter((row) => row.value !== null && inTime(row.inspectedAt.at, since));
  const good = read.filter(isCalibrated);
  const last = good.at(-1);
  const says = last
    ? `${good.length} ${good.length === 1 ? "reading" : "readings"} with instrument and calibration; the newest by ${last.instrumentSerial}, calibrated ${last.calibratedOn}.`
    : read.length > 0
      ? `${read.length} readings, none with serial number and a calibration of the year before. Measure with an instrument that has both.`
      : "No reading. Measure, voltage first, and write serial number and calibration date.";
  return { item: "measured_value", present: last !== undefined, says };
}

function inspectorLicence({ records, since }: CompletenessFacts): ItemFound {
  const last = records.inspections.findLast(
    (row) => row.inspector !== null && row.inspectorLicence !== null && inTime(row.inspectedAt.at, since),
  );
  return {
    item: "inspector_licence",
    present: last !== undefined,
    says: last
      ? `${last.inspector}, licence ${last.inspectorLicence}, on ${last.inspectedAt.day}.`
      : "No inspection names a person with a licence number.",
  };
}

function partIdentity({ records }: CompletenessFacts): ItemFound {
  const serials = records.inverters.filter((v) => v.serial !== null).length;
  const known = records.sections.filter((s) => s.hardwareBatch !== null && s.hardwareListed === "yes").length;
  const present =
    records.inverters.length > 0 &&
    serials === records.inverters.length &&
    records.sections.length > 0 &&
    known === records.sections.length;
  return {
    item: "part_identity",
    present,
    says: `${serials} of ${records.inverters.length} inverters with serial number, ${known} of ${records.sections.length} sections with batch and listing of their hardware.${present ? "" : " Read the marks on the parts."}`,
  };
}

function eventLog({ faultRows: rows, clockProved }: CompletenessFacts): ItemFound {
  const says =
    rows === 0
      ? "No fault log. Ask the portal or the inverter for it before it is written over."
      : clockProved === true
        ? `${rows} rows of fault log, and nothing speaks against its clock or the correction accepted for it.`
        : clockProved === false
          ? `${rows} rows of fault log, and a correction of its clock is proposed. Decide on it on the site's page.`
          : `${rows} rows of fault log, too few onsets to test its clock. Ask for the portal's own statement on its time.`;
  return { item: "event_log_clock", present: rows > 0 && clockProved === true, says };
}

function weatherRecord({ weatherKnown }: CompletenessFacts): ItemFound {
  const present = weatherKnown !== null && weatherKnown >= WEATHER_KNOWN_SHARE;
  const says =
    weatherKnown === null
      ? "No weather station within reach. Import a station's hours."
      : `Weather known for ${Math.round(weatherKnown * 100)} % of the hours of the log.${present ? "" : " Import the hours that are missing."}`;
  return { item: "weather_record", present, says };
}

function custody({ custody: parts }: CompletenessFacts): ItemFound {
  const whole = (part: CustodyFact) => part.photographed && part.handovers.some((h) => h.signed);
  const broken = parts.filter((part) => !whole(part));
  const says =
    parts.length === 0
      ? "No removed part is recorded. If one was taken off, enter it with its photo in place, tag, store and signatures."
      : broken.length === 0
        ? `${parts.length} removed ${parts.length === 1 ? "part" : "parts"}, each photographed in place, tagged, stored and signed for.`
        : `Without photo in place or signatures: ${broken.map((part) => part.tag).join(", ")}.`;
  return { item: "chain_of_custody", present: parts.length > 0 && broken.length === 0, says };
}
