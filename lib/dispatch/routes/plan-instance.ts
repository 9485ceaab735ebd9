import type { LatLon } from "../../core/earth.ts";
import type { Instant, LocalDay, Skill } from "../../core/records.ts";
import type { Legs } from "./legs.ts";

/** From an instant to a later one. */
export interface Span {
  from: Instant;
  to: Instant;
}

/** One crew on one day. */
export interface CrewDay {
  crewId: string;
  /** In the crew's zone. */
  day: LocalDay;
  timeZone: string;
  base: LatLon;
  /** The shift: away from base no earlier than `from`, back no later than `to`. */
  shift: Span;
  skills: readonly Skill[];
  /** null: not recorded, which counts as alone. */
  people: number | null;
  /** null: not recorded; an electrician's skill then stands for one. */
  qualifiedPeople: number | null;
  /** Account currency. */
  hourlyCost: number;
  costPerKm: number;
}

/** What closes a site to a crew at some hours. */
export const WINDOW_RULES = ["access", "daylight", "weather"] as const;
export type WindowRule = (typeof WINDOW_RULES)[number];

/** make_safe is planned before everything, a promise before what is open, and no sum of money changes that order. */
export const TIERS = ["make_safe", "promised", "open"] as const;
export type Tier = (typeof TIERS)[number];

export interface PlanVisit {
  visitId: string;
  siteId: string;
  place: LatLon;
  tier: Tier;
  /** Loss avoided when it is done on the first day, account currency. */
  value: number;
  /** What of it is lost for each day that it waits. */
  valueLostPerDay: number;
  serviceMinutes: number;
  skills: readonly Skill[];
  /** Work that nobody does alone or without a qualified person: making safe, on a roof, measuring what may be live. */
  needsPair: boolean;
  /** Promised: keep it where it is. */
  pinned: boolean;
  /** The only crew that may go; null: any. */
  crewId: string | null;
  /** When work must start; null: not promised. */
  startWithin: Span | null;
  /** For each rule that bears on the visit the spans, in order and apart, in one of which all of its work must lie. */
  open: readonly { rule: WindowRule; spans: readonly Span[] }[];
}

/** All that a plan is made from. Node i of `legs` is visit i; node visits + j is the base of crew-day j. */
export interface PlanInstance {
  crewDays: readonly CrewDay[];
  visits: readonly PlanVisit[];
  legs: Legs;
}

export interface PlannedStop {
  /** Index into visits. */
  visit: number;
  arrive: Instant;
  start: Instant;
  depart: Instant;
  /** The drive that leads here. */
  driveKm: number;
  driveMinutes: number;
}

export interface PlannedRoute {
  /** Index into crewDays. */
  crewDay: number;
  leave: Instant;
  return: Instant;
  returnKm: number;
  returnMinutes: number;
  /** At least one. */
  stops: PlannedStop[];
}

/** Days that a visit waits when it is made on `day` of a plan that begins on `first`. */
export function daysBetween(first: LocalDay, day: LocalDay): number {
  return Math.round((Date.parse(day) - Date.parse(first)) / 86_400_000);
}

/** The day on which a plan begins: the earliest of its crew-days. */
export function firstDay(instance: Pick<PlanInstance, "crewDays">): LocalDay {
  return instance.crewDays.map((each) => each.day).sort()[0] ?? "1970-01-01";
}

/** What a visit is worth on a day, before any cost; never below zero. */
export function valueOn(visit: PlanVisit, daysWaited: number): number {
  return Math.max(0, visit.value - visit.valueLostPerDay * daysWaited);
}

/** Whether a crew may do work that needs two people, one of them qualified. */
export function isPair(crew: Pick<CrewDay, "people" | "qualifiedPeople" | "skills">): boolean {
  const qualified = crew.qualifiedPeople ?? (crew.skills.includes("electrician") ? 1 : 0);
  return (crew.people ?? 1) >= 2 && qualified >= 1;
}
