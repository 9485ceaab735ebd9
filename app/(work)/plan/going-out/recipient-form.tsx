"use client";

import { useMutation } from "@tanstack/react-query";
import type { FormEvent } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { RECIPIENT_FORM } from "@/app/_words/plan.ts";

/** Adds one who is told. The secret of a webhook is shown once. */
export function RecipientForm({ onAdded }: { onAdded: () => void }) {
  const add = useMutation({
    mutationFn: (body: unknown) => postJson<{ secret: string | null }>("/api/pages/notices", body),
    onSuccess: onAdded,
  });
  const onSubmit = (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget);
    const text = (name: string) => String(form.get(name) ?? "").trim() || null;
    const zone = Intl.DateTimeFormat().resolvedOptions().timeZone || "UTC";
    add.mutate({
      ...{ kind: form.get("kind"), address: text("address") ?? "", timeZone: zone },
      ...{ makeSafe: form.get("makeSafe") === "on", planChanges: form.get("planChanges") === "on" },
      ...{ quietFrom: text("quietFrom"), quietTo: text("quietTo") },
    });
  };
  return (
    <form onSubmit={onSubmit}>
      <h3>{RECIPIENT_FORM.addARecipient}</h3>
      <div className="filters">
        <label>
          {RECIPIENT_FORM.by}
          <select name="kind" defaultValue="email">
            <option value="email">{RECIPIENT_FORM.eMail}</option>
            <option value="webhook">{RECIPIENT_FORM.webhookSignedCallOf}</option>
          </select>
        </label>
        <label>
          {RECIPIENT_FORM.address}
          <input type="text" name="address" required autoComplete="off" />
        </label>
        <label>
          {RECIPIENT_FORM.quietFrom}
          <input type="time" name="quietFrom" />
        </label>
        <label>
          {RECIPIENT_FORM.quietTo}
          <input type="time" name="quietTo" />
        </label>
      </div>
      <div className="filters">
        <label className="tick-line">
          <input type="checkbox" name="makeSafe" defaultChecked /> {RECIPIENT_FORM.makeSafeAlerts}
        </label>
        <label className="tick-line">
          <input type="checkbox" name="planChanges" /> {RECIPIENT_FORM.changesOfPlans}
        </label>
        <button type="submit" className="button main" disabled={add.isPending}>
          {RECIPIENT_FORM.add}
        </button>
      </div>
      <Trouble says={add.error?.message} />
      {add.data?.secret ? (
        <p className="note" role="status">
          {RECIPIENT_FORM.secretOfThisWebhook} <code>{add.data.secret}</code>
          {RECIPIENT_FORM.theHeaderRaintripSignature}
        </p>
      ) : null}
    </form>
  );
}
