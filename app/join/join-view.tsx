"use client";

import { useEffect, useState } from "react";
import { post } from "@/app/_sign-in/client.ts";
import { EmailField, NewPasswordField } from "@/app/_sign-in/fields.tsx";
import { Stacked, TextField } from "@/app/_ui/field.tsx";
import { Trouble } from "@/app/_ui/said.tsx";
import { JOIN } from "@/app/_words/sign-in.ts";

interface LinkFacts {
  kind: "set_up" | "invite" | "recover";
  name: string | null;
  role: string;
  email: string | null;
}

/** The link while its person is at the identity provider: in this tab alone, and gone as soon as it was read. */
const KEPT = "raintrip-join";

interface Props {
  /** Name of the identity provider; null: there is none. */
  provider: string | null;
  /** Why the identity provider's answer did not let the person join; null: none did come back. */
  problem: string | null;
}

export function JoinView({ provider, problem }: Props) {
  const [token, setToken] = useState("");
  const [facts, setFacts] = useState<LinkFacts | null>(null);
  const [says, setSays] = useState("");
  useEffect(() => {
    const kept = problem === null ? null : window.sessionStorage.getItem(KEPT);
    window.sessionStorage.removeItem(KEPT);
    const secret = window.location.hash.slice(1) || (kept ?? "");
    setToken(secret);
    const why = problem === null ? "" : (JOIN.problems[problem] ?? JOIN.problems.not_proven ?? "");
    setSays(why || (secret === "" ? JOIN.noLink : ""));
    if (secret !== "")
      post<LinkFacts>("/join/look", { token: secret }).then(setFacts, (error: Error) => setSays(error.message));
  }, [problem]);
  return (
    <main className="body narrow">
      <h1>{facts ? JOIN.title[facts.kind] : JOIN.title.invite}</h1>
      <Trouble says={says} />
      {facts ? <JoinForm token={token} facts={facts} onTrouble={setSays} /> : null}
      {facts && provider && facts.kind !== "set_up" ? (
        <ByProvider token={token} facts={facts} provider={provider} onTrouble={setSays} />
      ) : null}
      {!facts && !says ? <p role="status">{JOIN.looking}</p> : null}
    </main>
  );
}

interface ByProviderProps {
  token: string;
  facts: LinkFacts;
  provider: string;
  onTrouble: (says: string) => void;
}

function ByProvider({ token, facts, provider, onTrouble }: ByProviderProps) {
  const [isBusy, setBusy] = useState(false);
  const go = async () => {
    setBusy(true);
    onTrouble("");
    try {
      const { url } = await post<{ url: string }>("/join/provider", { token });
      window.sessionStorage.setItem(KEPT, token);
      window.location.assign(url);
    } catch (error) {
      onTrouble((error as Error).message);
      setBusy(false);
    }
  };
  return (
    <section aria-labelledby="by-provider">
      <h2 id="by-provider">{JOIN.withoutPassword}</h2>
      <p>{JOIN.providerKnows(facts.email)}</p>
      <p>
        <button type="button" className="button" disabled={isBusy} onClick={go}>
          {JOIN.byProvider(provider)}
        </button>
      </p>
    </section>
  );
}

function JoinForm({ token, facts, onTrouble }: { token: string; facts: LinkFacts; onTrouble: (says: string) => void }) {
  const [name, setName] = useState("");
  const [email, setEmail] = useState(facts.email ?? "");
  const [password, setPassword] = useState("");
  const [again, setAgain] = useState("");
  const [isBusy, setBusy] = useState(false);
  const join = async () => {
    if (password !== again) return onTrouble(JOIN.differ);
    setBusy(true);
    onTrouble("");
    try {
      await post("/join", { token, password, ...(email ? { email } : {}), ...(name ? { name } : {}) });
      window.location.assign("/");
    } catch (error) {
      onTrouble((error as Error).message);
      setBusy(false);
    }
  };
  return (
    <Stacked onSend={join}>
      <p>{JOIN.for(facts.name, facts.role)}</p>
      {facts.name ? null : (
        <TextField label={JOIN.name} autoComplete="name" required maxLength={200} value={name} onText={setName} />
      )}
      <EmailField label={JOIN.email} isFixed={facts.email !== null} value={email} onText={setEmail} />
      <NewPasswordField label={JOIN.password} value={password} onText={setPassword} />
      <TextField
        label={JOIN.again}
        type="password"
        autoComplete="new-password"
        required
        value={again}
        onText={setAgain}
      />
      <button type="submit" className="button main" disabled={isBusy}>
        {facts.kind === "recover" ? JOIN.recover : JOIN.join}
      </button>
    </Stacked>
  );
}
