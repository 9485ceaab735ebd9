"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { PEOPLE_VIEW } from "@/app/_words/access.ts";
import type { PeopleView as View } from "@/lib/reads/people-view.ts";
import { InviteForm } from "./invite-form.tsx";
import { PersonCard } from "./person-card.tsx";

export interface Handed {
  personId: string;
  url: string;
  hours: number;
}

export function PeopleView({ view }: { view: View }) {
  const router = useRouter();
  const [says, setSays] = useState("");
  const [handed, setHanded] = useState<Handed | null>(null);
  /** Send a change; a link that comes back is shown until the next change. */
  const send = async (url: string, body: unknown, done: string): Promise<boolean> => {
    try {
      const reply = await postJson<Partial<Handed>>(url, body);
      setHanded(reply.url ? (reply as Handed) : null);
      setSays(done);
      router.refresh();
      return true;
    } catch (error) {
      setHanded(null);
      setSays((error as Error).message);
      return false;
    }
  };
  const nameOf = (id: string) => view.people.find((p) => p.personId === id)?.name ?? PEOPLE_VIEW.theNewPerson;
  return (
    <>
      <h1>{PEOPLE_VIEW.people}</h1>
      <p className="soft">{PEOPLE_VIEW.whoMaySignIn}</p>
      <p role="status" className={says ? "note" : undefined}>
        {says}
      </p>
      {handed ? (
        <div className="note" data-handed-link>
          <p>{PEOPLE_VIEW.giveThisLinkTo(nameOf(handed.personId), handed.hours)}</p>
          <p>
            <input
              type="text"
              readOnly
              aria-label={PEOPLE_VIEW.link}
              value={handed.url}
              onFocus={(e) => e.currentTarget.select()}
            />
          </p>
        </div>
      ) : null}
      <details>
        <summary>{PEOPLE_VIEW.inviteSomebody}</summary>
        <InviteForm view={view} send={send} />
      </details>
      {view.people.map((person) => (
        <PersonCard
          key={`${person.personId}${person.role}${person.disabledAt}`}
          person={person}
          view={view}
          send={send}
        />
      ))}
      {view.people.length === 0 ? <Empty>{PEOPLE_VIEW.nobodyIsOnRecord}</Empty> : null}
    </>
  );
}
