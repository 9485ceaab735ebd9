import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { onTestFinished } from "vitest";

/** A folder with the files given, gone after the test. */
export function dropFolder(files: Record<string, string | Buffer>): string {
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-drop-"));
  mkdirSync(folder, { recursive: true });
  for (const [name, text] of Object.entries(files)) writeFileSync(path.join(folder, name), text);
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

const SITE_HEADER = "site_id,name,portfolio,latitude,longitude,time_zone,dc_kw,ac_kw";

/** The least that a fleet needs: sites S1 and S2 in New York time, an inverter each, two sections on S1. */
export const BASE_DROP = {
  "sites.csv": `${SITE_HEADER}\nS1,Millgate,North,40.7,-74.0,America/New_York,20,16\nS2,Oakstead,North,40.8,-74.1,America/New_York,30,25\n`,
  "inverters.csv": "site_id,inverter_id,ac_kw,code_system\nS1,I1,8,\nS1,I2,8,\nS2,I1,25,own\n",
  "sections.csv": "site_id,section_id,inverter_id,bonded_to\nS1,A,I1,B\nS1,B,I2,bus\n",
};
