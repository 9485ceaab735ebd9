"use client";

import { useState } from "react";
import { Field } from "@/app/_ui/field.tsx";
import { TOKEN_FORM } from "@/app/_words/access.ts";
import { TOKEN_SCOPES, type TokenScope } from "@/lib/core/permissions.ts";

export interface NewToken {
  name: string;
  scopes: TokenScope[];
  days: number;
  portfolios: string[];
}

const SCOPE_SAYS: Record<TokenScope, string> = {
  read: TOKEN_FORM.readScoresQueuePlan,
  import: TOKEN_FORM.sendImportsAndSee,
};
const EMPTY: NewToken = { name: "", scopes: ["read"], days: 90, portfolios: [] };

const flip = <T,>(list: T[], item: T): T[] => (list.includes(item) ? list.filter((i) => i !== item) : [...list, item]);

export function TokenForm({ portfolios, make }: { portfolios: string[]; make: (token: NewToken) => Promise<boolean> }) {
  const [token, setToken] = useState(EMPTY);
  return (
    <form
      className="stacked panel"
      onSubmit={async (event) => {
        event.preventDefault();
        if (await make(token)) setToken(EMPTY);
      }}
    >
      <Field label={TOKEN_FORM.whatUsesIt}>
        <input
          type="text"
          required
          maxLength={200}
          value={token.name}
          onChange={(e) => setToken({ ...token, name: e.currentTarget.value })}
        />
      </Field>
      <fieldset className="plain">
        <legend>{TOKEN_FORM.itMay}</legend>
        {TOKEN_SCOPES.map((scope) => (
          <label key={scope} className="choice">
            <input
              type="checkbox"
              checked={token.scopes.includes(scope)}
              onChange={() => setToken({ ...token, scopes: flip(token.scopes, scope) })}
            />{" "}
            {SCOPE_SAYS[scope]}
          </label>
        ))}
      </fieldset>
      <Field label={TOKEN_FORM.worksForDays}>
        <input
          type="number"
          required
          min={1}
          max={366}
          value={token.days}
          onChange={(e) => setToken({ ...token, days: e.currentTarget.valueAsNumber || 1 })}
        />
      </Field>
      <fieldset className="plain">
        <legend>{TOKEN_FORM.heldToTheseBooks}</legend>
        {portfolios.map((book) => (
          <label key={book} className="choice">
            <input
              type="checkbox"
              checked={token.portfolios.includes(book)}
              onChange={() => setToken({ ...token, portfolios: flip(token.portfolios, book) })}
            />{" "}
            {book}
          </label>
        ))}
      </fieldset>
      <button type="submit" className="button main">
        {TOKEN_FORM.makeTheToken}
      </button>
    </form>
  );
}
