"use client";

import { useMutation } from "@tanstack/react-query";
import type { FormEvent } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";

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
      <h3>Add a recipient</h3>
      <div className="filters">
        <label>
          By
          <select name="kind" defaultValue="email">
            <option value="email">e-mail</option>
            <option value="webhook">webhook (signed call of an https address)</option>
          </select>
        </label>
        <label>
          Address
          <input type="text" name="address" required autoComplete="off" />
        </label>
        <label>
          Quiet from
          <input type="time" name="quietFrom" />
        </label>
        <label>
          Quiet to
          <input type="time" name="quietTo" />
        </label>
      </div>
      <div className="filters">
        <label className="tick-line">
          <input type="checkbox" name="makeSafe" defaultChecked /> Make-safe alerts
        </label>
        <label className="tick-line">
          <input type="checkbox" name="planChanges" /> Changes of plans
        </label>
        <button type="submit" className="button main" disabled={add.isPending}>
          Add
        </button>
      </div>
      <Trouble says={add.error?.message} />
      {add.data?.secret ? (
        <p className="note" role="status">
          Secret of this webhook, shown this once: <code>{add.data.secret}</code>. The header raintrip-signature is v1=
          and the HMAC-SHA256, in hex, of raintrip-timestamp, a full stop and the body.
        </p>
      ) : null}
    </form>
  );
}
