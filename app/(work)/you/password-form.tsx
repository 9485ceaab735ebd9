"use client";

import { useState } from "react";
import { post } from "@/app/_sign-in/client.ts";
import { NewPasswordField, PasswordField } from "@/app/_sign-in/fields.tsx";
import { Stacked } from "@/app/_ui/field.tsx";
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
      <PasswordField label={YOU.passwordNow} value={current} onText={setCurrent} />
      <NewPasswordField label={YOU.passwordNew} value={next} onText={setNext} />
      <button type="submit" className="button" disabled={isBusy}>
        {YOU.changePassword}
      </button>
    </Stacked>
  );
}
