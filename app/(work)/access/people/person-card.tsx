"use client";

import { useState } from "react";
import { MOMENT, Timed } from "@/app/_ui/timed.tsx";
import { PERSON_CARD } from "@/app/_words/access.ts";
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
        {portfolios.length > 0 ? PERSON_CARD.of(portfolios.join(", ")) : ""}
        {crewId ? PERSON_CARD.ofCrew(crewId) : ""}
        {isDisabled ? PERSON_CARD.disabledCannotSignIn : "."} <State person={person} />
      </p>
      <details>
        <summary>{PERSON_CARD.change(name)}</summary>
        <form
          className="stacked"
          onSubmit={(event) => {
            event.preventDefault();
            change(isDisabled, PERSON_CARD.wasChanged(scope.name));
          }}
        >
          <ScopeFields value={scope} view={view} onChange={setScope} />
          <div className="buttons">
            <button type="submit" className="button main">
              {PERSON_CARD.save}
            </button>
            {person.isDemo || isDisabled ? null : (
              <button
                type="button"
                className="button"
                onClick={() => send(`${url}/link`, {}, PERSON_CARD.aNewLinkFor(name))}
              >
                {person.email ? PERSON_CARD.linkForANew : PERSON_CARD.newLinkToJoin}
              </button>
            )}
            {person.isSelf ? null : (
              <button
                type="button"
                className="button"
                onClick={() =>
                  change(!isDisabled, isDisabled ? PERSON_CARD.maySignInAgain(name) : PERSON_CARD.wasShutOutAnd(name))
                }
              >
                {isDisabled ? PERSON_CARD.letInAgain : PERSON_CARD.disable}
              </button>
            )}
          </div>
        </form>
      </details>
    </article>
  );
}

function State({ person }: { person: PersonLine }) {
  const { isDemo, email, invitedEmail, linkUntil, lastSignIn, sessions } = person;
  const link = linkUntil ? <Timed says={PERSON_CARD.aLinkWaitsUntil(MOMENT)} at={linkUntil} /> : null;
  if (isDemo) return PERSON_CARD.inventedPersonOfThe(sessions);
  if (!email)
    return link ? (
      <>
        {PERSON_CARD.hasNotJoinedYet(invitedEmail ? PERSON_CARD.invitedAs(invitedEmail) : "")}
        {link}
      </>
    ) : (
      PERSON_CARD.hasNotJoinedYet(PERSON_CARD.theLinkHasRun)
    );
  return (
    <>
      {email},{" "}
      {lastSignIn ? <Timed says={PERSON_CARD.lastSignedIn(MOMENT)} at={lastSignIn} /> : PERSON_CARD.noSessionOnRecord}.{" "}
      {PERSON_CARD.sessions(sessions)}
      {link}
    </>
  );
}
