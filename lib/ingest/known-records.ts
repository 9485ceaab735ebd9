import type { KnownRecords } from "../contract/row-parser.ts";
import type { CodeMeaning } from "../core/records.ts";
import { codeMeanings, stations } from "../store/site-records.ts";
import type { Sql } from "../store/transaction.ts";
import type { StationNames } from "./drop-file.ts";

/** What is stored of an account, for checking references while rows stream by. */
export interface AccountRecords extends KnownRecords, StationNames {
  codeSystemOf: (siteId: string, inverterId: string) => string;
  meanings: Map<string, CodeMeaning>;
  /** Of sites that rows name, those of which nothing was read yet. */
  unmet: (siteIds: Iterable<string>) => string[];
  /** Called before such rows: what is stored of their sites is known after it. */
  meet: (siteIds: readonly string[]) => Promise<void>;
  /** The same of all sites at once. */
  meetAll: () => Promise<void>;
}

async function stationNames(tx: Sql): Promise<StationNames> {
  const known = await stations(tx);
  const byAlias = new Map([...known.values()].flatMap((s) => s.aliases.map((alias) => [alias, s.stationId] as const)));
  const stationId = (name: string) => (known.has(name) ? name : (byAlias.get(name) ?? name));
  return { stationId, stationZone: (name) => known.get(stationId(name))?.timeZone ?? null };
}

const NO_STATIONS: StationNames = { stationId: (name) => name, stationZone: () => null };
/** Files that name more sites than this have all of them read at once. */
const MOST_MET = 500;

/** Cells hold anything; no stored id is longer or has the character that the server takes in no text. */
const canBeStored = (siteId: string) => siteId.length <= 200 && !siteId.includes("\u0000");

/** Ids of sites, inverters and sections that were read. */
class SiteIds {
  readonly zones = new Map<string, string>();
  readonly inverters = new Map<string, string>();
  readonly sections = new Set<string>();
  readonly #met = new Set<string>();
  #isWhole = false;

  constructor(private readonly tx: Sql) {}

  /** @param siteIds of these; null: of all */
  async read(siteIds: readonly string[] | null): Promise<void> {
    const { tx } = this;
    if (siteIds === null) this.#isWhole = true;
    const asked = siteIds === null ? tx`` : tx`AND site_id = ANY(${[...siteIds]})`;
    for (const row of await tx<
      { site_id: string; time_zone: string }[]
    >`SELECT site_id, time_zone FROM site WHERE account_id = current_account() ${asked}`)
      this.zones.set(row.site_id, row.time_zone);
    for (const row of await tx<{ site_id: string; inverter_id: string; code_system: string | null }[]>`
      SELECT site_id, inverter_id, code_system FROM inverter WHERE account_id = current_account() ${asked}`)
      this.inverters.set(`${row.site_id}\n${row.inverter_id}`, row.code_system ?? "sunspec_evt1");
    for (const row of await tx<
      { site_id: string; section_id: string }[]
    >`SELECT site_id, section_id FROM section WHERE account_id = current_account() ${asked}`)
      this.sections.add(`${row.site_id}\n${row.section_id}`);
  }

  unmet(siteIds: Iterable<string>): string[] {
    return this.#isWhole ? [] : [...siteIds].filter((id) => !this.#met.has(id));
  }

  async meetAll(): Promise<void> {
    if (!this.#isWhole) await this.read(null);
  }

  async meet(siteIds: readonly string[]): Promise<void> {
    for (const id of siteIds) this.#met.add(id);
    await this.read(this.#met.size > MOST_MET ? null : siteIds.filter(canBeStored));
  }
}

/** Ids of the account's sites, inverters and sections; some tens of megabytes for 20,000 sites. */
export async function accountRecords(tx: Sql): Promise<AccountRecords> {
  const ids = new SiteIds(tx);
  await ids.read(null);
  return recordsOf(ids, await stationNames(tx), await codeMeanings(tx));
}

/**
 * The same, read as rows meet it: a file of one row reads one site, whatever the size of the account.
 * @param namesStations the rows may name stations by their own words
 */
export async function recordsAsMet(tx: Sql, namesStations: boolean): Promise<AccountRecords> {
  return recordsOf(new SiteIds(tx), namesStations ? await stationNames(tx) : NO_STATIONS, await codeMeanings(tx));
}

function recordsOf(ids: SiteIds, names: StationNames, meanings: Map<string, CodeMeaning>): AccountRecords {
  return {
    ...names,
    zoneOf: (siteId) => ids.zones.get(siteId),
    hasInverter: (siteId, inverterId) => ids.inverters.has(`${siteId}\n${inverterId}`),
    hasSection: (siteId, sectionId) => ids.sections.has(`${siteId}\n${sectionId}`),
    codeSystemOf: (siteId, inverterId) => ids.inverters.get(`${siteId}\n${inverterId}`) ?? "sunspec_evt1",
    meanings,
    unmet: (siteIds) => ids.unmet(siteIds),
    meet: (siteIds) => ids.meet(siteIds),
    meetAll: () => ids.meetAll(),
  };
}
