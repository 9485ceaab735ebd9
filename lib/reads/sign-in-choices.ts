import "server-only";
import { ROLE_SAYS, ROLES, type Role } from "../core/permissions.ts";
import { signInSettings } from "../sign-in/settings.ts";
import { database } from "../store/database.ts";
import type { SignInChoices } from "./sign-in-choices-view.ts";

/** What the sign-in page offers to somebody whom nobody knows yet: of people, those of the demo only. */
export async function readSignInChoices(): Promise<SignInChoices> {
  const { provider, demoAllowed } = signInSettings();
  const { signIn } = await database();
  const { rows: any } = await signIn.query("SELECT 1 FROM sign_in_user LIMIT 1");
  const { rows } = demoAllowed
    ? await signIn.query("SELECT person_id, name, role FROM person WHERE is_demo AND disabled_at IS NULL")
    : { rows: [] };
  const order = (role: string) => ROLES.indexOf(role as Role);
  return {
    provider: provider?.name ?? null,
    isSetUp: any.length > 0,
    demo: (rows as { person_id: string; name: string; role: string }[])
      .sort((a, b) => order(a.role) - order(b.role))
      .map((row) => ({ personId: row.person_id, name: row.name, says: ROLE_SAYS[row.role as Role] ?? row.role })),
  };
}
