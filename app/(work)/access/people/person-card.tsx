"use client";

import { useState } from "react";
import { utcTime } from "@/app/_ui/format.ts";
import type { Role } from "@/lib/core/permissions.ts";
import type { PeopleView, PersonLine } from "@/lib/reads/people-view.ts";
import type { Send } from "./invite-form.tsx";
import { type Scope, ScopeFields } from "./scope-fields.tsx";

export function PersonCard({ person, view, send }: { person: PersonLine; view: PeopleView; send: Send }) {
  const { personId, name, portfolios, crewId } = person;
  const [scope, setScope] = useState<Scope>({ name, role: person.role as Role, portfolios, crewId });
  const url = `/api/pages/people/${encodeURIComponent(personId)}`;
  const isDisabled = person.disabledAt !== null;
  const change = (disabled: boolean, done: string) => send(url, { ...scope, disabled }, done);
  return (
    <article className="panel" data-person={personId}>
      <h2>
        {name} <span className="soft">{personId}</span>
      </h2>
      <p>
        {person.role}
        {portfolios.length > 0 ? ` of ${portfolios.join(", ")}` : ""}
        {crewId ? ` of crew ${crewId}` : ""}
        {isDisabled ? ". Disabled: cannot sign in." : "."} {state(person)}
      </p>
      <details>
        <summary>Change {name}</summary>
        <form
          className="stacked"
          onSubmit={(event) => {
            event.preventDefault();
            change(isDisabled, `${scope.name} was changed.`);
          }}
        >
          <ScopeFields value={scope} view={view} onChange={setScope} />
          <div className="buttons">
            <button type="submit" className="button main">
              Save
            </button>
            {person.isDemo || isDisabled ? null : (
              <button
                type="button"
                className="button"
                onClick={() => send(`${url}/link`, {}, `A new link for ${name}; earlier ones no longer work.`)}
              >
                {person.email ? "Link for a new password" : "New link to join"}
              </button>
            )}
            {person.isSelf ? null : (
              <button
                type="button"
                className="button"
                onClick={() =>
                  change(
                    !isDisabled,
                    isDisabled ? `${name} may sign in again.` : `${name} was shut out and signed out.`,
                  )
                }
              >
                {isDisabled ? "Let in again" : "Disable"}
              </button>
            )}
          </div>
        </form>
      </details>
    </article>
  );
}

function state({ isDemo, email, linkUntil, lastSignIn, sessions }: PersonLine): string {
  const link = linkUntil ? ` A link waits until ${utcTime(linkUntil)}.` : "";
  if (isDemo) return `Invented person of the demo; anybody on this machine may act so. Sessions: ${sessions}.`;
  if (!email) return `Has not joined yet.${link || " The link has run out: make another."}`;
  const last = lastSignIn ? `last signed in ${utcTime(lastSignIn)}` : "no session on record";
  return `${email}, ${last}. Sessions: ${sessions}.${link}`;
}
