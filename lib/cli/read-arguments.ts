import { type ParseArgsConfig, parseArgs } from "node:util";
import { AppError } from "../core/app-error.ts";
import { didYouMean } from "../core/nearest-name.ts";

/**
 * The arguments of a command.
 * @throws AppError `wrong_use` for a flag that the command does not know, with the nearest that it does, and for a value given twice
 */
export function readArguments<T extends ParseArgsConfig>(config: T): ReturnType<typeof parseArgs<T>> {
  const options = config.options ?? {};
  const { tokens } = parseArgs({ ...config, strict: false, allowPositionals: true, tokens: true });
  const seen = new Set<string>();
  for (const token of tokens ?? []) {
    if (token.kind !== "option") continue;
    const option = options[token.name];
    if (!option) throw unknownFlag(token.rawName, Object.keys(options));
    if (option.type === "string" && !option.multiple && seen.has(token.name))
      throw new AppError("wrong_use", { message: `--${token.name} is given more than once. Give it once.` });
    seen.add(token.name);
  }
  return parseArgs(config);
}

function unknownFlag(given: string, known: readonly string[]): AppError {
  const all =
    known.length === 0 ? "This command takes none." : `This command takes: ${known.map((k) => `--${k}`).join(", ")}.`;
  return new AppError("wrong_use", {
    message: `There is no flag "${given}" here.${didYouMean(given, known, "--")} ${all}`,
  });
}
