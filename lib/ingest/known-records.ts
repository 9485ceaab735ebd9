import type { KnownRecords } from "../contract/row-parser.ts";
import type { CodeMeaning } from "../core/records.ts";
import { codeMeanings, stations } from "../store/site-records.ts";
import type { Sql } from "../store/transaction.ts";
import type { StationNames } from "./drop-file.ts";

/** What is stored of an account, for checking references while rows stream by. */
export interface AccountRecords extends KnownRecords, StationNames {
  codeSystemOf: (siteId: string, inverterId: string) => string;
  meanings: Map<string, CodeMeaning>;
}

async function stationNames(tx: Sql): Promise<StationNames> {
  const known = await stations(tx);
  const byAlias = new Map([...known.values()].flatMap((s) => s.aliases.map((alias) => [alias, s.stationId] as const)));
  const stationId = (name: string) => (known.has(name) ? name : (byAlias.get(name) ?? name));
  return { stationId, stationZone: (name) => known.get(stationId(name))?.timeZone ?? null };
}

/** Ids of the account's sites, inverters and sections; some tens of megabytes for 20,000 sites. */
export async function accountRecords(tx: Sql): Promise<AccountRecords> {
  const zones = new Map<string, string>();
  for (const row of await tx<
    { site_id: string; time_zone: string }[]
  >`SELECT site_id, time_zone FROM site WHERE account_id = current_account()`) {
    zones.set(row.site_id, row.time_zone);
  }
  const inverters = new Map<string, string>();
  for (const row of await tx<{ site_id: string; inverter_id: string; code_system: string | null }[]>`
    SELECT site_id, inverter_id, code_system FROM inverter WHERE account_id = current_account()`) {
    inverters.set(`${row.site_id}\n${row.inverter_id}`, row.code_system ?? "sunspec_evt1");
  }
  const sections = new Set<string>();
  for (const row of await tx<
    { site_id: string; section_id: string }[]
  >`SELECT site_id, section_id FROM section WHERE account_id = current_account()`) {
    sections.add(`${row.site_id}\n${row.section_id}`);
  }
  const names = await stationNames(tx);
  return {
    ...names,
    zoneOf: (siteId) => zones.get(siteId),
    hasInverter: (siteId, inverterId) => inverters.has(`${siteId}\n${inverterId}`),
    hasSection: (siteId, sectionId) => sections.has(`${siteId}\n${sectionId}`),
    codeSystemOf: (siteId, inverterId) => inverters.get(`${siteId}\n${inverterId}`) ?? "sunspec_evt1",
    meanings: await codeMeanings(tx),
  };
}
