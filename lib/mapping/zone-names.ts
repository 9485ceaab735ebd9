import { zoneOffsetMs } from "../core/zoned-time.ts";

/** What an abbreviation of a time zone means somewhere. */
export interface ZoneMeaning {
  /** As the contract writes it: `-05:00`. */
  offset: string;
  /** Who uses it. */
  where: string;
  /** A zone that shows this abbreviation for part of the year or all of it. */
  zone: string;
}

const of = (zone: string, where: string, ...names: [string, string][]) =>
  names.map(([name, offset]) => ({ name, meaning: { offset, where, zone } }));

/**
 * Abbreviations that fault logs and weather files carry, by the IANA time zone database and CLDR; AST of Arabia, BST of
 * Bangladesh and MST of Malaysia are common practice, no source. Others are asked.
 */
const NAMES = [
  ...of("America/New_York", "eastern North America", ["EST", "-05:00"], ["EDT", "-04:00"]),
  ...of("America/Chicago", "central North America", ["CST", "-06:00"], ["CDT", "-05:00"]),
  ...of("America/Denver", "the Rocky Mountains", ["MST", "-07:00"], ["MDT", "-06:00"]),
  ...of("America/Los_Angeles", "western North America", ["PST", "-08:00"], ["PDT", "-07:00"]),
  ...of("America/Anchorage", "Alaska", ["AKST", "-09:00"], ["AKDT", "-08:00"]),
  ...of("Pacific/Honolulu", "Hawaii", ["HST", "-10:00"]),
  ...of("America/Halifax", "Atlantic Canada", ["AST", "-04:00"], ["ADT", "-03:00"]),
  ...of("America/St_Johns", "Newfoundland", ["NST", "-03:30"], ["NDT", "-02:30"]),
  ...of("America/Havana", "Cuba", ["CST", "-05:00"], ["CDT", "-04:00"]),
  ...of("Europe/London", "Britain in summer", ["BST", "+01:00"]),
  ...of("Europe/Dublin", "Ireland in summer", ["IST", "+01:00"]),
  ...of("Europe/Lisbon", "Portugal", ["WET", "+00:00"], ["WEST", "+01:00"]),
  ...of("Europe/Berlin", "central Europe", ["CET", "+01:00"], ["CEST", "+02:00"]),
  ...of("Europe/Athens", "eastern Europe", ["EET", "+02:00"], ["EEST", "+03:00"]),
  ...of("Europe/Moscow", "Moscow", ["MSK", "+03:00"]),
  ...of("Asia/Jerusalem", "Israel", ["IST", "+02:00"], ["IDT", "+03:00"]),
  ...of("Asia/Riyadh", "Arabia", ["AST", "+03:00"]),
  ...of("Asia/Kolkata", "India", ["IST", "+05:30"]),
  ...of("Asia/Karachi", "Pakistan", ["PKT", "+05:00"]),
  ...of("Asia/Dhaka", "Bangladesh", ["BST", "+06:00"]),
  ...of("Asia/Shanghai", "China", ["CST", "+08:00"]),
  ...of("Asia/Manila", "the Philippines", ["PST", "+08:00"]),
  ...of("Asia/Kuala_Lumpur", "Malaysia", ["MST", "+08:00"]),
  ...of("Asia/Tokyo", "Japan", ["JST", "+09:00"]),
  ...of("Asia/Seoul", "Korea", ["KST", "+09:00"]),
  ...of("Australia/Perth", "western Australia", ["AWST", "+08:00"]),
  ...of("Australia/Adelaide", "central Australia", ["ACST", "+09:30"], ["ACDT", "+10:30"]),
  ...of("Australia/Sydney", "eastern Australia", ["AEST", "+10:00"], ["AEDT", "+11:00"]),
  ...of("Pacific/Auckland", "New Zealand", ["NZST", "+12:00"], ["NZDT", "+13:00"]),
  ...of("Africa/Johannesburg", "southern Africa", ["SAST", "+02:00"]),
  ...of("Africa/Lagos", "west Africa", ["WAT", "+01:00"]),
  ...of("Africa/Nairobi", "east Africa", ["EAT", "+03:00"]),
];

/** What an abbreviation may mean; empty: nobody knows it. */
export const zoneMeanings = (name: string): ZoneMeaning[] =>
  NAMES.filter((known) => known.name === name.toUpperCase()).map((known) => known.meaning);

/** `-05:30` in milliseconds. */
const offsetMs = (offset: string): number =>
  (offset.startsWith("-") ? -1 : 1) * (Number(offset.slice(1, 3)) * 60 + Number(offset.slice(4, 6))) * 60_000;

/** A time that carries an abbreviation, with the zone of the row's site where one is named and known. */
export interface NamedTime {
  name: string;
  /** The wall clock read as if it were UTC, epoch ms. */
  wallMs: number;
  siteZone: string | null;
}

export type NameFinding = { name: string } & ({ offset: string; because: string } | { offset: null; asks: string });

/**
 * What the abbreviations of a column mean. One meaning alone counts, and a site's zone that uses one of several decides.
 * Asked is what stays ambiguous, what no site named in the rows uses, and what does not hold on the day it stands on: EST in
 * July may be standard time kept all year or a careless name of the local clock, an hour apart.
 */
export function nameFindings(times: readonly NamedTime[]): NameFinding[] {
  return [...new Set(times.map((time) => time.name))].map((name) => {
    const here = times.filter((time) => time.name === name);
    const all = zoneMeanings(name);
    const zones = [...new Set(here.flatMap((time) => time.siteZone ?? []))];
    const used = all.filter((meaning) => zones.some((zone) => here.some((time) => usedIn(meaning, zone, time.wallMs))));
    const sited = here.flatMap(({ siteZone, wallMs }) => (siteZone ? [{ siteZone, wallMs }] : []));
    const exact = used.filter((meaning) => sited.every((time) => holds(meaning, time.siteZone, time.wallMs)));
    const left = zones.length === 0 ? all : exact.length > 0 ? exact : used;
    const [one] = left;
    if (all.length === 0) return { name, offset: null, asks: `${name} is no zone name that is known here` };
    if (!one)
      return {
        name,
        offset: null,
        asks: `${name} is ${saysMeanings(all)}, and the sites of these rows are in ${zones.slice(0, 3).join(", ")}`,
      };
    if (new Set(left.map((meaning) => meaning.offset)).size > 1)
      return { name, offset: null, asks: `${name} may be ${saysMeanings(left)}` };
    const off = here.find((time) => !holds(one, time.siteZone ?? one.zone, time.wallMs));
    if (off) {
      const day = new Date(off.wallMs).toISOString().slice(0, 10);
      return {
        name,
        offset: null,
        asks: `${name} stands on ${day}, when clocks in ${off.siteZone ?? one.zone} show another time: is it UTC${one.offset} all year, or the clock on the wall?`,
      };
    }
    return {
      name,
      offset: one.offset,
      because: `${name} is UTC${one.offset}${zones.length > 0 ? `, as ${zones[0]} has it` : ""}`,
    };
  });
}

const saysMeanings = (meanings: readonly ZoneMeaning[]): string =>
  meanings.map((meaning) => `UTC${meaning.offset} (${meaning.where})`).join(" or ");

/** Whether a zone has this offset at that wall time. */
const holds = (meaning: ZoneMeaning, zone: string, wallMs: number): boolean =>
  zoneOffsetMs(zone, wallMs - offsetMs(meaning.offset)) === offsetMs(meaning.offset);

/** Whether a zone has this offset in some season of that year. */
function usedIn(meaning: ZoneMeaning, zone: string, wallMs: number): boolean {
  const year = new Date(wallMs).getUTCFullYear();
  return [0, 6].some((month) => zoneOffsetMs(zone, Date.UTC(year, month, 15)) === offsetMs(meaning.offset));
}

/**
 * The offset of an abbreviation that was not among the examples: its one meaning, or the one of the place whose other
 * abbreviation somebody explained (EDT after EST).
 * @param said abbreviations in lower case with what they mean
 */
export function impliedOffset(name: string, said: Readonly<Record<string, string>>): string | null {
  const all = zoneMeanings(name);
  if (all.length === 1) return all[0]?.offset ?? null;
  const beside = all.filter((meaning) =>
    NAMES.some(
      (known) => known.meaning.zone === meaning.zone && said[known.name.toLowerCase()] === known.meaning.offset,
    ),
  );
  return beside.length === 1 ? (beside[0]?.offset ?? null) : null;
}
