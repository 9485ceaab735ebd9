"use client";

import { useState } from "react";
import { TextField } from "@/app/_ui/field.tsx";
import { INVITE_FORM } from "@/app/_words/access.ts";
import type { PeopleView } from "@/lib/reads/people-view.ts";
import { type Scope, ScopeFields } from "./scope-fields.tsx";

const NOBODY: Scope = { name: "", role: "dispatcher", portfolios: [], crewId: null };

export type Send = (url: string, body: unknown, done: string) => Promise<boolean>;

export function InviteForm({ view, send }: { view: PeopleView; send: Send }) {
  const [scope, setScope] = useState(NOBODY);
  const [email, setEmail] = useState("");
  return (
    <form
      className="stacked panel"
      onSubmit={async (event) => {
        event.preventDefault();
        const body = { ...scope, email: email.trim() || null };
        if (!(await send("/api/pages/people", body, INVITE_FORM.isOnRecord(scope.name)))) return;
        setScope(NOBODY);
        setEmail("");
      }}
    >
      <ScopeFields value={scope} view={view} onChange={setScope} />
      <TextField
        label={INVITE_FORM.email}
        hint={INVITE_FORM.emailHint}
        type="email"
        maxLength={254}
        value={email}
        onText={setEmail}
      />
      <button type="submit" className="button main">
        {INVITE_FORM.makeTheLink}
      </button>
    </form>
  );
}
