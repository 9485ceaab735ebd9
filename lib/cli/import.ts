import { AppError } from "../core/app-error.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { importPaths } from "../writes/import-paths.ts";
import { readArguments } from "./read-arguments.ts";

/** `import PATH…`: returns when every row is stored or set aside. */
export async function importCommand(args: string[]): Promise<number> {
  const { values, positionals } = readArguments({
    args,
    allowPositionals: true,
    options: {
      format: { type: "string" },
      station: { type: "string" },
      portfolio: { type: "string" },
      json: { type: "boolean" },
    },
  });
  if (positionals.length === 0)
    throw new AppError("wrong_use", { message: "import needs at least one file or folder." });
  await readyDatabase();
  const stopping = new AbortController();
  process.once("SIGINT", () => stopping.abort());
  const progress = progressLine();
  const result = await importPaths(LOCAL_ACTOR, positionals, {
    ...(values.format ? { format: values.format } : {}),
    ...(values.station ? { station: values.station } : {}),
    ...(values.portfolio ? { portfolio: values.portfolio } : {}),
    signal: stopping.signal,
    onProgress: progress.show,
  });
  progress.end();
  if (values.json) process.stdout.write(`${JSON.stringify(result)}\n`);
  else {
    for (const f of result.files) {
      process.stdout.write(
        `${f.file}: ${f.rows} rows, ${f.accepted} accepted, ${f.unchanged} unchanged, ${f.set_aside} set aside\n`,
      );
      for (const note of f.notes) process.stdout.write(`  ${note}\n`);
    }
    if (result.set_aside_file)
      process.stdout.write(`Rows set aside, with the reason for each: ${result.set_aside_file}\n`);
  }
  return result.files.some((f) => f.set_aside > 0) ? 1 : 0;
}

/** One line on standard error that rewrites itself on a terminal and stays quiet otherwise. */
function progressLine(): {
  show: (p: { file: string; rows: number; bytesRead: number; bytesTotal: number | null }) => void;
  end: () => void;
} {
  const terminal = process.stderr.isTTY;
  let last = 0;
  return {
    show: (p) => {
      const now = performance.now();
      if (now - last < (terminal ? 200 : 5000)) return;
      last = now;
      const share = p.bytesTotal ? ` ${Math.floor((100 * p.bytesRead) / p.bytesTotal)} %` : "";
      process.stderr.write(
        `${terminal ? "\r\x1b[K" : ""}${p.file}: ${p.rows.toLocaleString("en-US")} rows${share}${terminal ? "" : "\n"}`,
      );
    },
    end: () => {
      if (terminal && last > 0) process.stderr.write("\r\x1b[K");
    },
  };
}
