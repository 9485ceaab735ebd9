import type { Metadata } from "next";
import { ROLE_SAYS, type Role } from "@/lib/core/permissions.ts";
import { signedIn } from "@/lib/reads/actor.ts";
import { readOwnSessions } from "@/lib/reads/sessions.ts";
import { PasskeyPanel } from "./passkey-panel.tsx";
import { PasswordForm } from "./password-form.tsx";
import { SessionTable } from "./session-table.tsx";
import { UnitsChoice } from "./units-choice.tsx";

export const metadata: Metadata = { title: "You" };
export const dynamic = "force-dynamic";

export default async function YouPage() {
  const { actor, name, email, sessionId, isDemo } = await signedIn();
  const sessions = await readOwnSessions(actor, sessionId);
  return (
    <>
      <h1>{name}</h1>
      <dl className="facts">
        <div>
          <dt>Role</dt>
          <dd>
            {actor.role}: {ROLE_SAYS[actor.role as Role]}
          </dd>
        </div>
        {actor.portfolios ? (
          <div>
            <dt>Books of sites</dt>
            <dd>{actor.portfolios.join(", ") || "none yet: ask an administrator"}</dd>
          </div>
        ) : null}
        {actor.role === "technician" ? (
          <div>
            <dt>Crew</dt>
            <dd>{actor.crewId ?? "none yet: ask an administrator"}</dd>
          </div>
        ) : null}
        <div>
          <dt>Signs in as</dt>
          <dd>{isDemo ? "invented person of the demo, without a password" : email}</dd>
        </div>
      </dl>
      <h2>Units</h2>
      <UnitsChoice />
      <h2>Where you are signed in</h2>
      <SessionTable sessions={sessions} />
      {isDemo ? null : (
        <>
          <h2>Passkeys</h2>
          <PasskeyPanel />
          <h2>Password</h2>
          <PasswordForm />
        </>
      )}
    </>
  );
}
