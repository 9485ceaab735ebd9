import { AppError } from "../core/app-error.ts";
import { TOKEN_SCOPES } from "../core/permissions.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { makeToken, TokenBody } from "../writes/api-tokens.ts";
import { readArguments } from "./read-arguments.ts";

const DEFAULT_DAYS = 90;

/** `token NAME`: the token alone on standard output, so that a script can take it. */
export async function tokenCommand(args: string[]): Promise<number> {
  const { values, positionals } = readArguments({
    args,
    allowPositionals: true,
    options: {
      scope: { type: "string", multiple: true },
      days: { type: "string" },
      portfolio: { type: "string", multiple: true },
      json: { type: "boolean" },
    },
  });
  const [name, ...more] = positionals;
  if (!name || more.length > 0) throw new AppError("wrong_use", { message: "token needs one name: token NAME" });
  const portfolios = values.portfolio ?? [];
  const body = TokenBody.safeParse({
    name,
    scopes: values.scope ?? (portfolios.length > 0 ? ["read"] : TOKEN_SCOPES),
    days: Number(values.days ?? DEFAULT_DAYS),
    portfolios,
  });
  if (!body.success) {
    const issue = body.error.issues[0];
    throw new AppError("wrong_use", { message: `${String(issue?.path[0] ?? "token")}: ${issue?.message}` });
  }
  await readyDatabase();
  const made = await makeToken(LOCAL_ACTOR, body.data);
  if (values.json)
    process.stdout.write(
      `${JSON.stringify({ token_id: made.tokenId, token: made.token, scopes: body.data.scopes, expires_at: made.expiresAt })}\n`,
    );
  else {
    process.stdout.write(`${made.token}\n`);
    process.stderr.write(
      `raintrip: ${made.tokenId} may ${body.data.scopes.join(" and ")} until ${made.expiresAt.slice(0, 10)}. It is not shown again.\n`,
    );
  }
  return 0;
}
