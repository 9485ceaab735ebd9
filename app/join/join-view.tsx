"use client";

import { useEffect, useState } from "react";
import { post } from "@/app/_sign-in/client.ts";
import { Stacked, TextField } from "@/app/_ui/field.tsx";
import { Trouble } from "@/app/_ui/said.tsx";

interface LinkFacts {
  kind: "set_up" | "invite" | "recover";
  name: string | null;
  role: string;
  email: string | null;
}

const TITLES = {
  set_up: "Set up this installation",
  invite: "Join Raintrip",
  recover: "Choose a new password",
} as const;

export function JoinView() {
  const [token, setToken] = useState("");
  const [facts, setFacts] = useState<LinkFacts | null>(null);
  const [says, setSays] = useState("");
  useEffect(() => {
    const secret = window.location.hash.slice(1);
    setToken(secret);
    if (secret === "") setSays("This address holds no link. Open the whole link that you were given.");
    else post<LinkFacts>("/join/look", { token: secret }).then(setFacts, (error: Error) => setSays(error.message));
  }, []);
  return (
    <main className="body narrow">
      <h1>{facts ? TITLES[facts.kind] : "Join Raintrip"}</h1>
      <Trouble says={says} />
      {facts ? <JoinForm token={token} facts={facts} onTrouble={setSays} /> : null}
      {!facts && !says ? <p role="status">Looking at the link …</p> : null}
    </main>
  );
}

function JoinForm({ token, facts, onTrouble }: { token: string; facts: LinkFacts; onTrouble: (says: string) => void }) {
  const [name, setName] = useState("");
  const [email, setEmail] = useState(facts.email ?? "");
  const [password, setPassword] = useState("");
  const [again, setAgain] = useState("");
  const [isBusy, setBusy] = useState(false);
  const join = async () => {
    if (password !== again) return onTrouble("The two passwords differ. Type them again.");
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
      <p>
        {facts.name ? `For ${facts.name}, as ${facts.role}.` : "You become its first administrator."} The link works
        once.
      </p>
      {facts.name ? null : (
        <TextField label="Your name" autoComplete="name" required maxLength={200} value={name} onText={setName} />
      )}
      <TextField
        label="E-mail address to sign in with"
        type="email"
        autoComplete="username"
        required
        readOnly={facts.email !== null}
        value={email}
        onText={setEmail}
      />
      <TextField
        label="Password, 12 characters or more"
        type="password"
        autoComplete="new-password"
        required
        minLength={12}
        maxLength={128}
        value={password}
        onText={setPassword}
      />
      <TextField
        label="The same password again"
        type="password"
        autoComplete="new-password"
        required
        value={again}
        onText={setAgain}
      />
      <button type="submit" className="button main" disabled={isBusy}>
        {facts.kind === "recover" ? "Set the password and sign in" : "Join and sign in"}
      </button>
    </Stacked>
  );
}
