"use client";

import { useEffect, useState } from "react";
import { passkeys, post, safeTarget } from "@/app/_sign-in/client.ts";
import { Stacked, TextField } from "@/app/_ui/field.tsx";
import { Note, Trouble } from "@/app/_ui/said.tsx";
import type { SignInChoices } from "@/lib/reads/sign-in-choices-view.ts";

interface Props {
  choices: SignInChoices;
  to: string | null;
  /** Why the identity provider's answer let nobody in; null: none did come back. */
  problem: string | null;
}

/** By the reasons of `ProviderProblem`. */
const PROBLEMS: Record<string, string> = {
  expired: "That sign-in was begun in another browser, took longer than 10 minutes or was already used. Begin again.",
  refused: "The identity provider did not let you in. Begin again, or sign in by password or passkey.",
  unreachable: "The identity provider did not answer. Try again in a minute, or sign in by password or passkey.",
  not_proven:
    "What the identity provider sent does not prove who you are, so it was not accepted. Begin again; if it stays, ask an administrator to look into the server's log.",
  unverified:
    "The identity provider does not say that your e-mail address is verified, so it opens nothing here. Have it verified there, or sign in by password or passkey.",
  nobody:
    "Nobody here has joined with the e-mail address that the identity provider gave. An administrator invites people; join by that link first.",
  other_identity:
    "This e-mail address belongs to somebody who signs in by another identity of the provider. An administrator can give them a new link.",
  disabled: "This person was disabled in Raintrip. An administrator can let them in again.",
};

export function SignInView({ choices, to, problem }: Props) {
  const [says, setSays] = useState(problem === null ? "" : (PROBLEMS[problem] ?? PROBLEMS.not_proven ?? ""));
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
      <h1>Sign in to Raintrip</h1>
      <Trouble says={says} />
      {choices.demo.length > 0 ? <DemoPeople choices={choices} isBusy={isBusy} attempt={attempt} /> : null}
      {choices.isSetUp ? (
        <details open={others}>
          <summary>{others ? "With your address and password" : "People who are not of the demo"}</summary>
          <OwnSignIn choices={choices} to={to} isBusy={isBusy} attempt={attempt} />
        </details>
      ) : (
        <Note>
          Nobody can sign in yet. The server printed a link at its start by which the first administrator sets this
          installation up; it works once. Start the server again for a new one.
        </Note>
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
      <h2 id="demo-people">Demo: act as an invented person</h2>
      <p>
        The fleet, its weather and these people are invented. Anybody on this machine may act as them, without a
        password; they are never offered to other machines unless that is switched on.
      </p>
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
    if (error) throw new Error(error.message ?? "The passkey was not accepted. Try again, or use your password.");
  };
  const byProvider = async () => {
    const { url } = await post<{ url: string }>("/sign-in/provider", { to: safeTarget(to) });
    window.location.assign(url);
    await new Promise(() => {}); // the browser leaves
  };
  return (
    <>
      <Stacked onSend={() => attempt(() => post("/sign-in/email", { email, password }))}>
        <TextField
          label="E-mail address"
          type="email"
          autoComplete="username"
          required
          value={email}
          onText={setEmail}
        />
        <TextField
          label="Password"
          type="password"
          autoComplete="current-password"
          required
          value={password}
          onText={setPassword}
        />
        <button type="submit" className="button main" disabled={isBusy}>
          Sign in
        </button>
      </Stacked>
      <p className="buttons">
        {hasPasskeys ? (
          <button type="button" className="button" disabled={isBusy} onClick={() => attempt(byPasskey)}>
            With a passkey
          </button>
        ) : null}
        {choices.provider ? (
          <button type="button" className="button" disabled={isBusy} onClick={() => attempt(byProvider)}>
            With {choices.provider}
          </button>
        ) : null}
      </p>
      <p className="soft">Lost your password, or never had one? An administrator gives you a link that works once.</p>
    </>
  );
}
