import { refreshScores } from "../../../lib/jobs/refresh-scores.ts";
import { LOCAL_ACTOR, systemActor } from "../../../lib/store/actor.ts";
import { copyOut } from "../../../lib/store/copy-stream.ts";
import { readTransaction } from "../../../lib/store/transaction.ts";
import { type Figure, repeated } from "../measure.ts";
import type { MadeFleet } from "./made-fleet.ts";

/** What a score reads, in tables. */
const READ = [
  "site",
  "inverter",
  "section",
  "fault",
  "telemetry",
  "reading",
  "inspection",
  "repair",
  "coverage",
  "weather_month",
];

/** Score of the whole fleet anew, against one sequential read of every row that it reads. */
export async function scoreFigures({ options, db, admin, server }: MadeFleet, repeats: number): Promise<Figure[]> {
  const now = Date.parse(`${options.endDay}T00:00:00Z`) + 2 * 86_400_000;
  let bytes = 0;
  const read = await repeated(repeats, server, () =>
    readTransaction(
      systemActor(LOCAL_ACTOR.accountId),
      async (tx) => {
        for (const table of READ)
          for await (const piece of copyOut(tx, `SELECT * FROM ${table} WHERE account_id = current_account()`))
            bytes += piece.length;
      },
      db,
    ),
  );
  const score = async () => {
    const { scored } = await refreshScores(LOCAL_ACTOR, { now });
    if (scored < options.sites) throw new Error(`${scored} sites were scored instead of ${options.sites}`);
  };
  const [standing] = await admin<{ n: number }[]>`SELECT count(*)::int AS n FROM standing`;
  const cold = standing?.n === 0 ? await repeated(1, server, score) : [];
  const again = await repeated(repeats, server, score, async () => {
    await admin`UPDATE standing SET input_hash = 'old'`;
    await admin`VACUUM ANALYZE standing`;
  });
  const base = "bare read of the same rows";
  const { sites: count } = options;
  return [
    { name: base, repeats: read, count, unit: "site", says: `${Math.round(bytes / repeats / 1e6)} MB as text` },
    ...(cold.length > 0
      ? [{ name: "first score of the fleet", repeats: cold, against: base, count, unit: "site" }]
      : []),
    { name: "score of the fleet anew", repeats: again, against: base, count, unit: "site", aim: "10 or less; 30 ms" },
  ];
}
