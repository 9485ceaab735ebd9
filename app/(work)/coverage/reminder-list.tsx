"use client";

import Link from "next/link";
import { useRouter } from "next/navigation";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { When } from "@/app/_ui/when.tsx";
import { REMINDER_LIST } from "@/app/_words/coverage.ts";
import type { ReminderLine } from "@/lib/reads/coverage-view.ts";

/** Reminders that nobody has read yet. Reading one is a person's act and stays on record. */
export function ReminderList({ reminders }: { reminders: ReminderLine[] }) {
  const router = useRouter();
  const [by, setBy] = useState("");
  const [trouble, setTrouble] = useState<string | null>(null);
  if (reminders.length === 0) return null;
  const read = async (key: string) => {
    setTrouble(null);
    try {
      await postJson("/api/pages/coverage/reminders", { key, by });
      router.refresh();
    } catch (error) {
      setTrouble((error as Error).message);
    }
  };
  const claims = reminders.filter((r) => !r.isSuspicion);
  const suspicions = reminders.filter((r) => r.isSuspicion);
  const lines = (some: ReminderLine[]) => <Lines reminders={some} mayRead={by.trim().length >= 2} onRead={read} />;
  return (
    <section className={claims.length > 0 ? "note danger" : "note"} aria-label={REMINDER_LIST.reminders}>
      <h2 className="first">{REMINDER_LIST.remindersNotReadYet(reminders.length)}</h2>
      <label className="field no-print">
        {REMINDER_LIST.yourNameForThe}
        <input type="text" value={by} onChange={(e) => setBy(e.target.value)} maxLength={300} />
      </label>
      {lines(claims)}
      {suspicions.length > 0 ? (
        <details open={claims.length === 0 && suspicions.length <= 5} data-suspicions>
          <summary>{REMINDER_LIST.fromTheModelsSuspicion(suspicions.length)}</summary>
          {lines(suspicions)}
        </details>
      ) : null}
      {trouble ? <p role="alert">{trouble}</p> : null}
    </section>
  );
}

function Lines({
  reminders,
  mayRead,
  onRead,
}: {
  reminders: ReminderLine[];
  mayRead: boolean;
  onRead: (key: string) => void;
}) {
  if (reminders.length === 0) return null;
  return (
    <ul>
      {reminders.map((r) => (
        <li key={r.key}>
          <Link href={`/coverage/sites/${encodeURIComponent(r.siteId)}`}>{r.siteId}</Link>: {r.says}{" "}
          <span className="soft">
            {REMINDER_LIST.written} <When at={r.raisedAt} />.
          </span>{" "}
          <button type="button" className="button no-print" disabled={!mayRead} onClick={() => onRead(r.key)}>
            {REMINDER_LIST.iHaveReadIt}
          </button>
        </li>
      ))}
    </ul>
  );
}
