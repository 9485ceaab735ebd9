import { openLossRunIfDue, runLossRuns } from "../jobs/loss-run.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { refreshScores } from "../jobs/refresh-scores.ts";
import { readExposure } from "../reads/exposure.ts";
import { LOCAL_ACTOR, systemActor } from "../store/actor.ts";
import { readArguments } from "./read-arguments.ts";
import { sayProgress } from "./score.ts";

const whole = (amount: number) => Math.round(amount).toLocaleString("en-US");

/** `exposure`: computes what is stale, then shows what each book stands to lose in the coming year. */
export async function exposureCommand(args: string[]): Promise<number> {
  const { values } = readArguments({ args, options: { book: { type: "string" }, json: { type: "boolean" } } });
  const { db } = await readyDatabase();
  await refreshScores(LOCAL_ACTOR, { now: Date.now(), onProgress: sayProgress });
  if (await openLossRunIfDue(LOCAL_ACTOR))
    await runLossRuns(db, systemActor(LOCAL_ACTOR.accountId), {
      waits: true,
      onProgress: (done, total) => {
        if (process.stderr.isTTY) process.stderr.write(`\r\x1b[Kdrawn ${done} of ${total} years`);
      },
    });
  if (process.stderr.isTTY) process.stderr.write("\n");
  const document = await readExposure(LOCAL_ACTOR, values.book === undefined ? {} : { book: values.book });
  if (values.json) {
    process.stdout.write(`${JSON.stringify(document)}\n`);
    return 0;
  }
  const { currency } = document;
  for (const book of [...document.books, ...(document.whole ? [document.whole] : [])]) {
    const { value, low, high } = book.expected_net;
    process.stdout.write(`\n${book.book ?? "all books"}, ${book.sites} sites\n`);
    process.stdout.write(
      `  expected loss of the coming year, net: ${whole(value)} ${currency} (${whole(low)} to ${whole(high)}); gross ${whole(book.expected_gross.value)}\n`,
    );
    for (const t of book.tail)
      process.stdout.write(
        `  ${(100 * t.level).toFixed(1)} %: value at risk ${whole(t.value_at_risk.value)} (± ${whole(t.value_at_risk.error)}), expected shortfall ${whole(t.expected_shortfall.value)} (± ${whole(t.expected_shortfall.error)})\n`,
      );
  }
  for (const says of [...document.remarks, ...document.cautions]) process.stdout.write(`\n${says}`);
  process.stdout.write("\n");
  return 0;
}
