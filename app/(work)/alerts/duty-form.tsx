"use client";

import { useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Note } from "@/app/_ui/said.tsx";
import { DUTY_FORM } from "@/app/_words/alerts.ts";
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
      setSaid(DUTY_FORM.kept);
      setEdited(null);
      await client.invalidateQueries({ queryKey: ["alerts"] });
    } catch (error) {
      setSaid((error as Error).message);
    }
  };
  return (
    <section aria-label={DUTY_FORM.whoAnswers}>
      <h2>{DUTY_FORM.whoAnswers}</h2>
      {duty.length === 0 ? <Note kind="danger">{DUTY_FORM.nobodyIsNamedAn}</Note> : null}
      {people.map((person, i) => (
        <div key={i} className="filters">
          <label>
            {DUTY_FORM.name(i + 1)}
            <input type="text" value={person.name} onChange={(event) => change(i, { name: event.target.value })} />
          </label>
          <label>
            {DUTY_FORM.number}
            <input type="text" value={person.phone} onChange={(event) => change(i, { phone: event.target.value })} />
          </label>
        </div>
      ))}
      <div className="buttons">
        <button type="button" className="button" onClick={() => setEdited([...people, NOBODY])}>
          {DUTY_FORM.addAPerson}
        </button>
        <button type="button" className="button main" disabled={edited === null} onClick={save}>
          {DUTY_FORM.keepThisOrder}
        </button>
      </div>
      <p className="soft" role="status">
        {said ?? DUTY_FORM.aPersonLeavesThe}
      </p>
    </section>
  );
}
