"use client";

import { useState } from "react";
import { post } from "@/app/_sign-in/client.ts";
import { Stacked, TextField } from "@/app/_ui/field.tsx";
import { YOU } from "@/app/_words/sign-in.ts";

export function PasswordForm() {
  const [current, setCurrent] = useState("");
  const [next, setNext] = useState("");
  const [says, setSays] = useState("");
  const [isBusy, setBusy] = useState(false);
  const change = async () => {
    setBusy(true);
    try {
      await post("/change-password", { currentPassword: current, newPassword: next, revokeOtherSessions: true });
      setSays(YOU.passwordChanged);
      setCurrent("");
      setNext("");
    } catch (error) {
      setSays((error as Error).message);
    }
    setBusy(false);
  };
  return (
    <Stacked onSend={change}>
      <p role="status">{says}</p>
      <TextField
        label={YOU.passwordNow}
        type="password"
        autoComplete="current-password"
        required
        value={current}
        onText={setCurrent}
      />
      <TextField
        label={YOU.passwordNew}
        type="password"
        autoComplete="new-password"
        required
        minLength={12}
        maxLength={128}
        value={next}
        onText={setNext}
      />
      <button type="submit" className="button" disabled={isBusy}>
        {YOU.changePassword}
      </button>
    </Stacked>
  );
}
