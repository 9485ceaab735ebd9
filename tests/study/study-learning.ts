import { parseArgs } from "node:util";
import { seededRng } from "../../lib/core/random.ts";
import { BONDING_CAUSES, CAUSES, type Cause } from "../../lib/core/records.ts";
import { auc, brierScore, type Judged, logScore } from "../../lib/diagnose/calibration.ts";
import { diagnose } from "../../lib/diagnose/diagnose.ts";
import type { Diagnosis } from "../../lib/diagnose/diagnosis.ts";
import { learnRates } from "../../lib/diagnose/learn-rates.ts";
import { learnBaseRates, type VisitOutcome } from "../../lib/diagnose/learning.ts";
import { DEFAULT_PARAMETERS, type ParameterTable } from "../../lib/diagnose/parameters.ts";
import { table } from "./study-table.ts";
import { type StudyCase, studyCases } from "./study-world.ts";

/** Of each company: sites whose visits teach, and sites that are then judged. */
const POOL = 600;
const JUDGED = 400;
/** Chance that a visit overlooks a cause that is there, and names one that is not. */
const OVERLOOKED = 0.15;
const MISTAKEN = 0.02;
const AUDITED = 0.05;

const isBonding = (c: StudyCase) => c.causes.some((x) => (BONDING_CAUSES as readonly string[]).includes(x));

interface Stated {
  site: StudyCase;
  diagnosis: Diagnosis;
}

/** Visits go where the diagnosis is most suspicious, but for a share drawn at random. */
function visited(pool: readonly Stated[], visits: number, seed: string): Stated[] {
  const ranked = [...pool].sort((a, b) => b.diagnosis.bondingDefect.p - a.diagnosis.bondingDefect.p);
  const suspicious = ranked.slice(0, Math.round(visits * (1 - AUDITED)));
  const rng = seededRng(`${seed}/audit`);
  const others = ranked.slice(suspicious.length).sort(() => rng() - 0.5);
  return [...suspicious, ...others.slice(0, visits - suspicious.length)];
}

function outcomeOf({ site, diagnosis }: Stated, seed: string): VisitOutcome {
  const { siteId } = site.input.records.site;
  const rng = seededRng(`${seed}/${siteId}`);
  const found = CAUSES.filter((c) => (site.causes.includes(c) ? rng() >= OVERLOOKED : rng() < MISTAKEN));
  return { siteId, found, lookedFor: [...CAUSES] as Cause[], stated: diagnosis.causes };
}

/** `--seed S --worlds N --visits V`: what confirmed visits of one company add, on sites of that company not visited. */
export function studyLearning(args: readonly string[]): void {
  const { values } = parseArgs({
    args: [...args],
    options: {
      seed: { type: "string", default: "1" },
      worlds: { type: "string", default: "4" },
      visits: { type: "string", default: "400" },
    },
  });
  const names = ["no outcome", "base rates", "rates of onsets", "both", "oracle: the world's own numbers"] as const;
  const judged = new Map<string, Judged[]>(names.map((name) => [name, []]));
  const cases = studyCases(`learning/${values.seed}`, Number(values.worlds) * (POOL + JUDGED), POOL + JUDGED);
  let seconds = 0;
  for (let world = 0; world < Number(values.worlds); world++) {
    const own = cases.slice(world * (POOL + JUDGED), (world + 1) * (POOL + JUDGED));
    const seed = `learning/${values.seed}/${world}`;
    const stated = own
      .slice(0, POOL)
      .map((site) => ({ site, diagnosis: diagnose(site.input, DEFAULT_PARAMETERS, { draws: 0 }) }));
    const taught = visited(stated, Number(values.visits), seed);
    const outcomes = taught.map((each) => outcomeOf(each, seed));
    const counted = taught.flatMap(({ diagnosis: { basis } }, i) =>
      basis ? [{ outcome: outcomes[i] as VisitOutcome, basis }] : [],
    );
    const started = performance.now();
    const rates = learnRates(DEFAULT_PARAMETERS, counted);
    seconds += (performance.now() - started) / 1000;
    const base = learnBaseRates(DEFAULT_PARAMETERS, outcomes, "base");
    const tables: Record<(typeof names)[number], ParameterTable> = {
      "no outcome": DEFAULT_PARAMETERS,
      "base rates": base,
      "rates of onsets": replaced(DEFAULT_PARAMETERS, rates, "rates"),
      both: replaced(base, rates, "both"),
      "oracle: the world's own numbers": (own[0] as StudyCase).truth,
    };
    for (const site of own.slice(POOL))
      for (const name of names)
        judged.get(name)?.push({
          p: diagnose(site.input, tables[name], { draws: 0 }).bondingDefect.p,
          found: isBonding(site),
        });
  }
  const rows = names.map((name) => {
    const of = judged.get(name) ?? [];
    return [name, (auc(of) ?? 0.5).toFixed(4), brierScore(of).toFixed(4), logScore(of).toFixed(4)];
  });
  process.stdout.write(
    `${values.worlds} companies, ${values.visits} confirmed visits each (all but ${100 * AUDITED} % of them where most suspected), judged on ${JUDGED} others each\n${table(["learned", "AUC", "Brier", "log loss"], rows)}\nlearning rates: ${(seconds / Number(values.worlds)).toFixed(1)} s a company\n`,
  );
}

function replaced(of: ParameterTable, rows: readonly { key: string }[], version: string): ParameterTable {
  const byKey = new Map(rows.map((row) => [row.key, row]));
  return { version, rows: of.rows.map((row) => ({ ...row, ...byKey.get(row.key) })) };
}
