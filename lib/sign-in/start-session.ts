import { APIError } from "better-auth/api";
import { setSessionCookie } from "better-auth/cookies";

export type SignInContext = Parameters<typeof setSessionCookie>[0];

/** Open a session for somebody who has proved who they are. @throws APIError when the person may not come in */
export async function startSession(ctx: SignInContext, userId: string): Promise<{ ok: true }> {
  const user = await ctx.context.internalAdapter.findUserById(userId);
  const session = user && (await ctx.context.internalAdapter.createSession(userId));
  if (!user || !session) throw new APIError("UNAUTHORIZED", { message: "A session could not be started. Try again." });
  await setSessionCookie(ctx, { session, user });
  return { ok: true };
}
