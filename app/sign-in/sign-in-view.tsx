"use client";

import { useEffect, useState } from "react";
import { post, safeTarget } from "@/app/_sign-in/client.ts";
import { EmailField, PasswordField } from "@/app/_sign-in/fields.tsx";
import { passkeys } from "@/app/_sign-in/passkeys.ts";
import { Stacked } from "@/app/_ui/field.tsx";
import { Note, Trouble } from "@/app/_ui/said.tsx";
import { SIGN_IN } from "@/app/_words/sign-in.ts";
import type { SignInChoices } from "@/lib/reads/sign-in-choices-view.ts";

interface Props {
  choices: SignInChoices;
  to: string | null;
  /** Why the identity provider's answer let nobody in; null: none did come back. */
  problem: string | null;
}

export function SignInView({ choices, to, problem }: Props) {
  const { providerProblems } = SIGN_IN;
  const [says, setSays] = useState(
    problem === null ? "" : (providerProblems[problem] ?? providerProblems.not_proven ?? ""),
  );
  const [isBusy, setBusy] = useState(false);
  const attempt = async (work: () => Promise<unknown>) => {
    setBusy(true);
    setSays("");
    try {
      await work();
      window.location.assign(safeTarget(to));
    } catch (error) {
      setSays((error as Error).message);
      setBusy(false);
    }
  };
  const others = choices.isSetUp && choices.demo.length === 0;
  return (
    <main className="body narrow">
      <h1>{SIGN_IN.title}</h1>
      <Trouble says={says} />
      {choices.demo.length > 0 ? <DemoPeople choices={choices} isBusy={isBusy} attempt={attempt} /> : null}
      {choices.isSetUp ? (
        <details open={others}>
          <summary>{others ? SIGN_IN.ownPeople : SIGN_IN.otherPeople}</summary>
          <OwnSignIn choices={choices} to={to} isBusy={isBusy} attempt={attempt} />
        </details>
      ) : (
        <Note>{SIGN_IN.nobodyYet}</Note>
      )}
    </main>
  );
}

interface PartProps {
  choices: SignInChoices;
  isBusy: boolean;
  attempt: (work: () => Promise<unknown>) => Promise<void>;
}

function DemoPeople({ choices, isBusy, attempt }: PartProps) {
  return (
    <section className="panel" aria-labelledby="demo-people">
      <h2 id="demo-people">{SIGN_IN.demoTitle}</h2>
      <p>{SIGN_IN.demo}</p>
      <ul className="demo-people">
        {choices.demo.map((person) => (
          <li key={person.personId}>
            <button
              type="button"
              className="button"
              disabled={isBusy}
              onClick={() => attempt(() => post("/sign-in/demo", { person: person.personId }))}
            >
              {person.name}
            </button>
            <span className="soft">{person.says}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}

function OwnSignIn({ choices, to, isBusy, attempt }: PartProps & { to: string | null }) {
  const [email, setEmail] = useState("");
  const [password, setPassword] = useState("");
  const [hasPasskeys, setHasPasskeys] = useState(false);
  useEffect(() => setHasPasskeys("PublicKeyCredential" in window), []);
  const byPasskey = async () => {
    const { error } = await passkeys.signIn.passkey();
    if (error) throw new Error(error.message ?? SIGN_IN.passkeyRefused);
  };
  const byProvider = async () => {
    const { url } = await post<{ url: string }>("/sign-in/provider", { to: safeTarget(to) });
    window.location.assign(url);
    await new Promise(() => {}); // the browser leaves
  };
  return (
    <>
      <Stacked onSend={() => attempt(() => post("/sign-in/email", { email, password }))}>
        <EmailField label={SIGN_IN.email} value={email} onText={setEmail} />
        <PasswordField label={SIGN_IN.password} value={password} onText={setPassword} />
        <button type="submit" className="button main" disabled={isBusy}>
          {SIGN_IN.signIn}
        </button>
      </Stacked>
      <p className="buttons">
        {hasPasskeys ? (
          <button type="button" className="button" disabled={isBusy} onClick={() => attempt(byPasskey)}>
            {SIGN_IN.byPasskey}
          </button>
        ) : null}
        {choices.provider ? (
          <button type="button" className="button" disabled={isBusy} onClick={() => attempt(byProvider)}>
            {SIGN_IN.byProvider(choices.provider)}
          </button>
        ) : null}
      </p>
      <p className="soft">{SIGN_IN.lost}</p>
    </>
  );
}
