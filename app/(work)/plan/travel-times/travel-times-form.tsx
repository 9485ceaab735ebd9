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
import { TRAVEL_TIMES_FORM } from "@/app/_words/plan.ts";
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
      <h2>{TRAVEL_TIMES_FORM.giveYourOwn}</h2>
      <p>
        {TRAVEL_TIMES_FORM.aCsvFileOr} <code>{COLUMNS}</code>; <code>{TRAVEL_TIMES_FORM.km}</code>{" "}
        {TRAVEL_TIMES_FORM.mayBeLeftOut} <code>{TRAVEL_TIMES_FORM.site}</code> {TRAVEL_TIMES_FORM.or}{" "}
        <code>{TRAVEL_TIMES_FORM.crew}</code> {TRAVEL_TIMES_FORM.itsBaseOneLine}
      </p>
      <form onSubmit={onSubmit} className="stacked">
        <Field label={TRAVEL_TIMES_FORM.file} isWide>
          <input type="file" name="file" accept=".csv,text/csv,text/plain" />
        </Field>
        <Field label={TRAVEL_TIMES_FORM.orPaste} isWide>
          <textarea name="text" rows={8} spellCheck={false} placeholder={`${COLUMNS}\ncrew,C1,site,S042,35,41.5`} />
        </Field>
        <p className="buttons">
          <button type="submit" className="button main" disabled={take.isPending}>
            {take.isPending ? TRAVEL_TIMES_FORM.reading : TRAVEL_TIMES_FORM.takeTheseTimes}
          </button>
          {own > 0 ? (
            <button type="button" className="button" onClick={() => setSure(true)}>
              {TRAVEL_TIMES_FORM.removeMyTimes}
            </button>
          ) : null}
        </p>
      </form>
      <Dialog
        isOpen={sure}
        title={TRAVEL_TIMES_FORM.removeYourOwnDriving}
        onClose={() => setSure(false)}
        closeSays={TRAVEL_TIMES_FORM.keepThem}
        actions={
          <button type="button" className="button main" disabled={remove.isPending} onClick={() => remove.mutate()}>
            {TRAVEL_TIMES_FORM.removeThem}
          </button>
        }
      >
        <p>{TRAVEL_TIMES_FORM.waysAreForgottenPlans(own.toLocaleString("en-US"))}</p>
      </Dialog>
      <Trouble says={take.error?.message} />
      <Trouble says={remove.error?.message} />
      {take.data ? <Taken read={take.data} /> : null}
    </IfMay>
  );
}

function Taken({ read: { stored, refused } }: { read: TravelTimesRead }) {
  return (
    <section aria-label={TRAVEL_TIMES_FORM.whatWasTaken}>
      <p className={stored === 0 ? "note danger" : "note"} role="status">
        {stored === 0 ? TRAVEL_TIMES_FORM.noLineHoldsA : TRAVEL_TIMES_FORM.waysStored(stored.toLocaleString("en-US"))}{" "}
        {refused.length > 0 ? TRAVEL_TIMES_FORM.linesWereSetAside(refused.length.toLocaleString("en-US")) : null}
      </p>
      {refused.length > 0 ? (
        <Table
          label={TRAVEL_TIMES_FORM.linesSetAside}
          rows={refused.slice(0, MOST_SHOWN)}
          keyOf={({ line }) => line}
          columns={[
            { name: TRAVEL_TIMES_FORM.line, num: true, cell: ({ line }) => line },
            { name: TRAVEL_TIMES_FORM.whatToChange, cell: ({ why }) => why },
          ]}
        />
      ) : null}
      {refused.length > MOST_SHOWN ? (
        <p className="soft">{TRAVEL_TIMES_FORM.andLinesMore(refused.length - MOST_SHOWN)}</p>
      ) : null}
    </section>
  );
}
