"use client";

import { useState } from "react";
import { INVITE_FORM } from "@/app/_words/access.ts";
import type { PeopleView } from "@/lib/reads/people-view.ts";
import { type Scope, ScopeFields } from "./scope-fields.tsx";

const NOBODY: Scope = { name: "", role: "dispatcher", portfolios: [], crewId: null };

export type Send = (url: string, body: unknown, done: string) => Promise<boolean>;

export function InviteForm({ view, send }: { view: PeopleView; send: Send }) {
  const [scope, setScope] = useState(NOBODY);
  return (
    <form
      className="stacked panel"
      onSubmit={async (event) => {
        event.preventDefault();
        if (await send("/api/pages/people", scope, INVITE_FORM.isOnRecord(scope.name))) setScope(NOBODY);
      }}
    >
      <ScopeFields value={scope} view={view} onChange={setScope} />
      <button type="submit" className="button main">
        {INVITE_FORM.makeTheLink}
      </button>
    </form>
  );
}
