"use client";

import { Field } from "@/app/_ui/field.tsx";
import { SCOPE_FIELDS } from "@/app/_words/access.ts";
import { ROLE_SAYS, ROLES, type Role } from "@/lib/core/permissions.ts";
import type { PeopleView } from "@/lib/reads/people-view.ts";

export interface Scope {
  name: string;
  role: Role;
  portfolios: string[];
  crewId: string | null;
}

/** Name, role, and what the role needs beside it. */
export function ScopeFields({
  value,
  view,
  onChange,
}: {
  value: Scope;
  view: PeopleView;
  onChange: (next: Scope) => void;
}) {
  const toggle = (book: string) => {
    const has = value.portfolios.includes(book);
    onChange({ ...value, portfolios: has ? value.portfolios.filter((b) => b !== book) : [...value.portfolios, book] });
  };
  return (
    <>
      <Field label={SCOPE_FIELDS.name}>
        <input
          type="text"
          required
          maxLength={200}
          value={value.name}
          onChange={(e) => onChange({ ...value, name: e.currentTarget.value })}
        />
      </Field>
      <Field label={SCOPE_FIELDS.role}>
        <select value={value.role} onChange={(e) => onChange({ ...value, role: e.currentTarget.value as Role })}>
          {ROLES.map((role) => (
            <option key={role} value={role}>
              {role}: {ROLE_SAYS[role]}
            </option>
          ))}
        </select>
      </Field>
      {value.role === "owner" ? (
        <fieldset className="plain">
          <legend>{SCOPE_FIELDS.booksOfSites}</legend>
          {view.portfolios.map((book) => (
            <label key={book} className="choice">
              <input type="checkbox" checked={value.portfolios.includes(book)} onChange={() => toggle(book)} /> {book}
            </label>
          ))}
          {view.portfolios.length === 0 ? <p>{SCOPE_FIELDS.thereAreNoneYet}</p> : null}
        </fieldset>
      ) : null}
      {value.role === "technician" ? (
        <Field label={SCOPE_FIELDS.crew}>
          <select
            required
            value={value.crewId ?? ""}
            onChange={(e) => onChange({ ...value, crewId: e.currentTarget.value || null })}
          >
            <option value="">{SCOPE_FIELDS.chooseOne}</option>
            {view.crews.map((crew) => (
              <option key={crew.crewId} value={crew.crewId}>
                {crew.crewId}: {crew.name}
              </option>
            ))}
          </select>
        </Field>
      ) : null}
    </>
  );
}
