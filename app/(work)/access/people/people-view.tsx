"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Empty } from "@/app/_ui/said.tsx";
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
  const nameOf = (id: string) => view.people.find((p) => p.personId === id)?.name ?? "the new person";
  return (
    <>
      <h1>People</h1>
      <p className="soft">
        Who may sign in, and what each sees. A role says what somebody may do; books of sites and crews say where. The
        database itself holds everybody to that.
      </p>
      <p role="status" className={says ? "note" : undefined}>
        {says}
      </p>
      {handed ? (
        <div className="note" data-handed-link>
          <p>
            Give this link to {nameOf(handed.personId)}. It works once, for {handed.hours} hours, and is not shown
            again. Whoever has it can use it.
          </p>
          <p>
            <input
              type="text"
              readOnly
              aria-label="Link"
              value={handed.url}
              onFocus={(e) => e.currentTarget.select()}
            />
          </p>
        </div>
      ) : null}
      <details>
        <summary>Invite somebody</summary>
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
      {view.people.length === 0 ? <Empty>Nobody is on record yet.</Empty> : null}
    </>
  );
}
