import { normalDeviate, type Rng, seededRng } from "../lib/core/random.ts";
import { PLANT_RATES } from "./plant.ts";
import { HOUR } from "./sky.ts";
import type { DemoSite, DemoWorld } from "./world.ts";

export interface DemoFault {
  inverterId: string;
  start: number;
  end: number | null;
  event: string;
  resetBy: string;
  closedAs: string;
}

/** An onset before its log rows are made. */
interface Onset {
  hour: number;
  cause: string;
}

const MINUTE = 60_000;

/** All log rows of a site, as its inverters would write them (clock error included), in order of time. */
export function siteFaults(world: DemoWorld, site: DemoSite): DemoFault[] {
  const rng = seededRng(`${world.options.seed}/faults/${site.siteId}`);
  const rows: DemoFault[] = [];
  let busyUntil = 0;
  for (const onset of onsets(site, rng)) {
    const start = site.sky.firstEnd + (onset.hour - 1) * HOUR + Math.floor(rng() * HOUR);
    if (start < busyUntil + 3.2 * HOUR) continue;
    const end = endOf(site, onset, start, rng);
    busyUntil = end;
    rows.push(...episodeRows(site, onset, start, end, rng));
  }
  rows.push(...otherEvents(world, site, rng));
  const shift = site.clockHours * HOUR;
  return rows
    .filter((r) => r.start < world.end && (r.end === null || r.end <= world.end))
    .map((r) => ({ ...r, start: r.start + shift, end: r.end === null ? null : r.end + shift }))
    .sort((a, b) => a.start - b.start);
}

function onsets(site: DemoSite, rng: Rng): Onset[] {
  const out: Onset[] = [];
  const kinds: string[] = site.planted.causes.length > 0 ? [...site.planted.causes, "healthy"] : [site.planted.kind];
  const { sky } = site;
  const hours = sky.rainMm.length;
  // Runs: for days at a time a site trips more or less than usual.
  let run = 1;
  for (let h = 1; h < hours; h++) {
    if (h % 72 === 1) run = Math.exp(0.7 * normalDeviate(rng) - 0.245);
    if ((sky.sunDeg[h] as number) < 3) continue;
    for (const kind of kinds) {
      const rate = rateAt(site, kind, h) * run * (kind === "healthy" ? 1 : site.frailty);
      if (rng() < rate) out.push({ hour: h, cause: kind });
    }
  }
  return out;
}

function rateAt({ sky }: DemoSite, kind: string, h: number): number {
  const r = PLANT_RATES[kind] as (typeof PLANT_RATES)[string];
  const at = Math.max(0, h - Math.round((r.lag[0] + r.lag[1]) / 2));
  const wet = (sky.waterMm[at] as number) > 0.05;
  const thunder = [0, 1, 2].some((k) => sky.thunder[h - k]);
  const dawn = (sky.sunDeg[h - 1] as number) < 2 ? 1 + 6 * r.dawn : 1;
  if (thunder) return r.thunder * dawn;
  if (!wet) return r.dry * dawn;
  return (sky.dewy[at] ? r.dew : r.rain) * dawn;
}

function endOf(site: DemoSite, onset: Onset, start: number, rng: Rng): number {
  const { sky } = site;
  const r = PLANT_RATES[onset.cause] as (typeof PLANT_RATES)[string];
  let h = onset.hour;
  if ((sky.waterMm[h] as number) > 0.05 && rng() < r.clears) {
    while (h < sky.rainMm.length - 1 && (sky.waterMm[h] as number) > 0.04 && (sky.sunDeg[h] as number) > 0) h++;
    return Math.max(start + 10 * MINUTE, sky.firstEnd + (h - 1) * HOUR + Math.floor(rng() * 1.8 * HOUR));
  }
  return start + Math.max(5, Math.round(Math.exp(4 + 0.9 * normalDeviate(rng)))) * MINUTE;
}

function episodeRows(site: DemoSite, onset: Onset, start: number, end: number, rng: Rng): DemoFault[] {
  const r = PLANT_RATES[onset.cause] as (typeof PLANT_RATES)[string];
  const everyone = site.inverters.length > 1 && rng() < r.several;
  const home = site.inverters[onset.cause.length % site.inverters.length] as string;
  const inverters = everyone ? site.inverters : [home];
  return inverters.flatMap((inverterId) => {
    const rows: DemoFault[] = [];
    let at = start + (inverterId === home ? 0 : Math.floor(rng() * 12) * MINUTE);
    const chatter = rng() < 0.45 ? 1 + Math.floor(-2.5 * Math.log(1 - rng())) : 1;
    for (let k = 0; k < chatter; k++) {
      const stop = Math.max(at + MINUTE, k === chatter - 1 ? end : at + (end - at) * rng() * 0.6);
      const noEnd = k === chatter - 1 && rng() < 0.04;
      rows.push({
        inverterId,
        start: Math.floor(at / 1000) * 1000,
        end: noEnd ? null : Math.floor(stop / 1000) * 1000,
        event: "GROUND_FAULT",
        resetBy: rng() < 0.85 ? "auto" : "remote",
        closedAs: rng() < 0.9 ? "self_cleared" : "no_fault_found",
      });
      at = stop + (5 + Math.floor(rng() * 60)) * MINUTE;
      if (at >= end) break;
    }
    return rows;
  });
}

/** Grid losses that every inverter sees in the same minute, and heat trips: context, not defects. */
function otherEvents(world: DemoWorld, site: DemoSite, rng: Rng): DemoFault[] {
  const rows: DemoFault[] = [];
  const days = world.options.days;
  for (let n = 0; n < Math.round(days / 150); n++) {
    const start = world.start + Math.floor(rng() * days * 24 * 60) * MINUTE;
    const end = start + (10 + Math.floor(rng() * 200)) * MINUTE;
    for (const inverterId of site.inverters)
      rows.push({ inverterId, start, end, event: "GRID_DISCONNECT", resetBy: "auto", closedAs: "other" });
  }
  for (let h = 0; h < site.sky.rainMm.length; h++) {
    if ((site.sky.temperatureC[h] as number) > 33 && (site.sky.sunDeg[h] as number) > 40 && rng() < 0.01) {
      const start = site.sky.firstEnd + h * HOUR;
      rows.push({
        inverterId: site.inverters[0] as string,
        start,
        end: start + 40 * MINUTE,
        event: "OVER_TEMP",
        resetBy: "auto",
        closedAs: "other",
      });
    }
  }
  return rows;
}
