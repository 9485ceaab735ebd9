"use client";

import { useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Note } from "@/app/_ui/said.tsx";
import type { AlertsView } from "@/lib/reads/alerts-view.ts";

type Person = AlertsView["duty"][number];
const NOBODY: Person = { name: "", phone: "" };

/** Who answers alerts, in the order in which they are asked. */
export function DutyForm({ duty }: { duty: Person[] }) {
  const client = useQueryClient();
  const [edited, setEdited] = useState<Person[] | null>(null);
  const [said, setSaid] = useState<string | null>(null);
  const people = edited ?? (duty.length > 0 ? duty : [NOBODY]);
  const change = (i: number, part: Partial<Person>) =>
    setEdited(people.map((person, k) => (k === i ? { ...person, ...part } : person)));
  const save = async () => {
    try {
      await postJson("/api/pages/alerts/duty", { people: people.filter((one) => one.name.trim() || one.phone.trim()) });
      setSaid("Kept.");
      setEdited(null);
      await client.invalidateQueries({ queryKey: ["alerts"] });
    } catch (error) {
      setSaid((error as Error).message);
    }
  };
  return (
    <section aria-label="Who answers">
      <h2>Who answers</h2>
      {duty.length === 0 ? (
        <Note kind="danger">Nobody is named. An unanswered emergency then has nobody to be asked next.</Note>
      ) : null}
      {people.map((person, i) => (
        <div key={i} className="filters">
          <label>
            {i + 1}. Name
            <input type="text" value={person.name} onChange={(event) => change(i, { name: event.target.value })} />
          </label>
          <label>
            Number
            <input type="text" value={person.phone} onChange={(event) => change(i, { phone: event.target.value })} />
          </label>
        </div>
      ))}
      <div className="buttons">
        <button type="button" className="button" onClick={() => setEdited([...people, NOBODY])}>
          Add a person
        </button>
        <button type="button" className="button main" disabled={edited === null} onClick={save}>
          Keep this order
        </button>
      </div>
      <p className="soft" role="status">
        {said ?? "A person leaves the list when both fields are empty."}
      </p>
    </section>
  );
}
