import { passOverFleet } from "../../../lib/jobs/fleet-pass.ts";
import { LOCAL_ACTOR, systemActor } from "../../../lib/store/actor.ts";
import { storedColumns } from "../../support/stored-columns.ts";
import { type Figure, repeated } from "../measure.ts";
import type { MadeFleet } from "./made-fleet.ts";

const TABLES = ["standing", "site_detail", "score", "clock_evidence"];
/** What a copy has of its own. */
const OWN: Record<string, string> = {
  site_id: "m.site_id",
  name: "m.name",
  portfolio: "m.portfolio",
  site_revision: "m.revision",
  rank: "NULL::integer",
  ranked: "false",
};

/**
 * Give every site that has no score those of a scored one, so that pages can be measured at a size that takes long to score: as
 * many rows, as wide and as varied. Such a fleet is stale, and no score in it is to be believed.
 */
export async function fillStandings({ admin, db, options, server }: MadeFleet): Promise<Figure[]> {
  const [scored] = await admin<{ n: number }[]>`SELECT count(DISTINCT site_id)::int AS n FROM standing`;
  await admin.begin(async (tx) => {
    await tx`CREATE TEMPORARY TABLE copied ON COMMIT DROP AS
      WITH made AS (SELECT site_id, row_number() OVER (ORDER BY site_id) - 1 AS k, count(*) OVER () AS n FROM standing)
      SELECT m.account_id, m.site_id, m.name, m.portfolio, m.revision, made.site_id AS from_site
      FROM (SELECT s.*, row_number() OVER (ORDER BY site_id) - 1 AS j FROM site s WHERE NOT EXISTS (
        SELECT FROM standing t WHERE t.account_id = s.account_id AND t.site_id = s.site_id)) m JOIN made ON made.k = m.j % made.n`;
    for (const table of TABLES) {
      const columns = (await storedColumns(tx, table)).map((name) => name.slice(1, -1));
      const standing = table === "standing";
      const value = (name: string) =>
        name === "site_id" || (standing && name in OWN)
          ? OWN[name]
          : name === "source"
            ? "replace(t.source, m.from_site, m.site_id)"
            : `t."${name}"`;
      await tx.unsafe(`INSERT INTO ${table} (${columns.map((c) => `"${c}"`).join(", ")})
        SELECT ${columns.map(value).join(", ")} FROM copied m JOIN ${table} t ON t.account_id = m.account_id AND t.site_id = m.from_site
        ON CONFLICT DO NOTHING`);
    }
  });
  const again = await repeated(
    2,
    server,
    () => passOverFleet(db, systemActor(LOCAL_ACTOR.accountId)),
    async (round) => {
      await admin`UPDATE standing SET ranked = false ${round === 0 ? admin`` : admin`WHERE site_id = 'S00002'`}`;
      await admin`VACUUM ANALYZE standing`;
    },
  );
  await admin`VACUUM ANALYZE standing`;
  const [whole, one] = again;
  const says = `${scored?.n} of ${options.sites} sites are scored, the others have copies of their scores`;
  return [
    { name: "pass over a fleet that is all new", repeats: whole ? [whole] : [], says },
    { name: "pass over a fleet with one new score", repeats: one ? [one] : [] },
  ];
}
