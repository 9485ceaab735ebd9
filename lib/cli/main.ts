import { AppError } from "../core/app-error.ts";
import { didYouMean } from "../core/nearest-name.ts";
import { requestTrouble } from "../store/passing-trouble.ts";
import { COMMANDS } from "./commands.ts";

const HELP = `raintrip COMMAND [options]

  import PATH… [--format F] [--station ID] [--portfolio P] [--json]   read a drop folder or single files
  score [--site ID] [--as-of TIME] [--json]                           how likely each site has a defect, and why
  queue [--json]                                                      visits in the order that matters
  plan --from DATE --days N [--seed N] [--effort N] [--json]          which crew goes where on which day
  travel-times FILE | --ask [--json]                                  your own driving times, or a routing server's
  exposure [--book NAME] [--json]                                     what each book stands to lose, net of recoveries
  weather STATION --from T --to T [--json]                            hourly weather as stored
  evidence SITE_ID --out FOLDER [--json]                              records, diagnosis and summary of a site, sealed
  verify FILE [--json]                                                whether an evidence file is as it was made (give its manifest)
  backup FILE [--json]                                                every record of the installation into one file
  restore FILE [--json]                                               a backup into an empty database
  token NAME [--scope read|import]… [--days N] [--portfolio P]… [--json] a token for the HTTP API, shown once
  person NAME --role ROLE [--portfolio P]… [--crew C] [--email E] [--json] a person and the link by which they join
  link PERSON [--json]                                                a new link for a person, by id or e-mail address
  serve [--port N]                                                    web server and worker
  worker                                                              a worker of its own
  migrate                                                             bring the database to this release
  demo [--mark]                                                       load the invented demo fleet; --mark one of an older release, to remove it
  demo-drop --out FOLDER [--sites N] [--years Y] [--weather csv|none] an invented fleet of any size, as files
  doctor                                                              check this installation

Exit status: 0 done, 1 done with rows set aside, 2 wrong use, 3 could not run.
`;

async function main(argv: string[]): Promise<number> {
  const [name, ...rest] = argv;
  if (!name || name === "help" || [name, ...rest].some((word) => word === "--help" || word === "-h")) {
    process.stdout.write(HELP);
    return name ? 0 : 2;
  }
  const command = COMMANDS[name];
  try {
    if (!command)
      throw new AppError("wrong_use", {
        message: `There is no command "${name}".${didYouMean(name, Object.keys(COMMANDS))} "raintrip help" lists them.`,
      });
    const run = await command();
    return await run(rest);
  } catch (error) {
    return report(error, argv.includes("--json"));
  }
}

/** One line on standard error; with --json also the error document on standard output. */
function report(error: unknown, json: boolean): number {
  const known = error instanceof AppError ? error : (asWrongUse(error) ?? requestTrouble(error));
  const code = known?.code ?? "internal";
  const message =
    known?.message ?? `Something went wrong inside Raintrip: ${error instanceof Error ? error.message : String(error)}`;
  if (json) process.stdout.write(`${JSON.stringify({ error: { code, message } })}\n`);
  process.stderr.write(`raintrip: ${message}\n`);
  if (!known && process.env.RAINTRIP_DEBUG) console.error(error);
  return code === "wrong_use" ? 2 : 3;
}

function asWrongUse(error: unknown): AppError | null {
  const code = (error as { code?: string }).code ?? "";
  return code.startsWith("ERR_PARSE_ARGS") ? new AppError("wrong_use", { message: (error as Error).message }) : null;
}

// Whoever read what was said has read enough (as `| head` does): nothing went wrong here.
for (const out of [process.stdout, process.stderr])
  out.on("error", (error: NodeJS.ErrnoException) => {
    if (error.code !== "EPIPE") throw error;
    process.exit();
  });

process.exitCode = await main(process.argv.slice(2));
const { shutDatabase } = await import("../store/database.ts");
await shutDatabase();
process.exit();
