"use client";

import { useMutation } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { type FormEvent, useState } from "react";
import { Dialog } from "@/app/_ui/dialog.tsx";
import { Field } from "@/app/_ui/field.tsx";
import { postJson } from "@/app/_ui/post-json.ts";
import { IfMay } from "@/app/_ui/role.tsx";
import { Trouble } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import type { TravelTimesRead } from "@/lib/writes/travel-times.ts";

const COLUMNS = "from_kind,from_id,to_kind,to_id,minutes,km";
const MOST_SHOWN = 200;

/** Takes driving times from a file or pasted, says of each line that was not taken why, and removes them again. */
export function TravelTimesForm({ own }: { own: number }) {
  const router = useRouter();
  const [sure, setSure] = useState(false);
  const take = useMutation({
    mutationFn: (text: string) => postJson<TravelTimesRead>("/api/pages/travel-times", { text }),
    onSuccess: () => router.refresh(),
  });
  const remove = useMutation({
    mutationFn: () => postJson<{ removed: number }>("/api/pages/travel-times/remove", {}),
    onSuccess: () => {
      setSure(false);
      router.refresh();
    },
  });
  const onSubmit = async (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget);
    const file = form.get("file");
    take.mutate(file instanceof File && file.size > 0 ? await file.text() : String(form.get("text") ?? ""));
  };
  return (
    <IfMay operation="imports.write">
      <h2>Give your own</h2>
      <p>
        A CSV file, or its lines pasted, with the columns <code>{COLUMNS}</code>; <code>km</code> may be left out. A
        kind is <code>site</code> or <code>crew</code> (its base). One line is one way in one direction: the way back is
        a line of its own. What you give takes the place of what you gave before.
      </p>
      <form onSubmit={onSubmit} className="stacked">
        <Field label="File" isWide>
          <input type="file" name="file" accept=".csv,text/csv,text/plain" />
        </Field>
        <Field label="Or paste" isWide>
          <textarea name="text" rows={8} spellCheck={false} placeholder={`${COLUMNS}\ncrew,C1,site,S042,35,41.5`} />
        </Field>
        <p className="buttons">
          <button type="submit" className="button main" disabled={take.isPending}>
            {take.isPending ? "Reading …" : "Take these times"}
          </button>
          {own > 0 ? (
            <button type="button" className="button" onClick={() => setSure(true)}>
              Remove my times …
            </button>
          ) : null}
        </p>
      </form>
      <Dialog
        isOpen={sure}
        title="Remove your own driving times?"
        onClose={() => setSure(false)}
        closeSays="Keep them"
        actions={
          <button type="button" className="button main" disabled={remove.isPending} onClick={() => remove.mutate()}>
            Remove them
          </button>
        }
      >
        <p>{own.toLocaleString("en-US")} ways are forgotten; plans then take the next best.</p>
      </Dialog>
      <Trouble says={take.error?.message} />
      <Trouble says={remove.error?.message} />
      {take.data ? <Taken read={take.data} /> : null}
    </IfMay>
  );
}

function Taken({ read: { stored, refused } }: { read: TravelTimesRead }) {
  return (
    <section aria-label="What was taken">
      <p className={stored === 0 ? "note danger" : "note"} role="status">
        {stored === 0
          ? "No line holds a way that can be used: what was stored before stays as it was."
          : `${stored.toLocaleString("en-US")} ways stored.`}{" "}
        {refused.length > 0 ? `${refused.length.toLocaleString("en-US")} lines were set aside.` : null}
      </p>
      {refused.length > 0 ? (
        <Table
          label="Lines set aside"
          rows={refused.slice(0, MOST_SHOWN)}
          keyOf={({ line }) => line}
          columns={[
            { name: "Line", num: true, cell: ({ line }) => line },
            { name: "What to change", cell: ({ why }) => why },
          ]}
        />
      ) : null}
      {refused.length > MOST_SHOWN ? <p className="soft">And {refused.length - MOST_SHOWN} lines more.</p> : null}
    </section>
  );
}
