import type { Metadata } from "next";
import { YOU } from "@/app/_words/sign-in.ts";
import { YOU_PAGE } from "@/app/_words/you.ts";
import { ROLE_SAYS, type Role } from "@/lib/core/permissions.ts";
import { signedIn } from "@/lib/reads/actor.ts";
import { readOwnSessions } from "@/lib/reads/sessions.ts";
import { PasskeyPanel } from "./passkey-panel.tsx";
import { PasswordForm } from "./password-form.tsx";
import { SessionTable } from "./session-table.tsx";
import { UnitsChoice } from "./units-choice.tsx";

export const metadata: Metadata = { title: YOU_PAGE.you };
export const dynamic = "force-dynamic";

export default async function YouPage() {
  const { actor, name, email, sessionId, isDemo } = await signedIn();
  const sessions = await readOwnSessions(actor, sessionId);
  return (
    <>
      <h1>{name}</h1>
      <dl className="facts">
        <div>
          <dt>{YOU.role}</dt>
          <dd>
            {actor.role}: {ROLE_SAYS[actor.role as Role]}
          </dd>
        </div>
        {actor.portfolios ? (
          <div>
            <dt>{YOU.books}</dt>
            <dd>{actor.portfolios.join(", ") || YOU.noneYet}</dd>
          </div>
        ) : null}
        {actor.role === "technician" ? (
          <div>
            <dt>{YOU.crew}</dt>
            <dd>{actor.crewId ?? YOU.noneYet}</dd>
          </div>
        ) : null}
        <div>
          <dt>{YOU.signsInAs}</dt>
          <dd>{isDemo ? YOU.demo : email}</dd>
        </div>
      </dl>
      <h2>{YOU.units}</h2>
      <UnitsChoice />
      <h2>{YOU.sessions}</h2>
      <SessionTable sessions={sessions} />
      {isDemo ? null : (
        <>
          <h2>{YOU.passkeys}</h2>
          <PasskeyPanel />
          <h2>{YOU.password}</h2>
          <PasswordForm />
        </>
      )}
    </>
  );
}
