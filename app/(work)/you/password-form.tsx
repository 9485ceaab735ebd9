"use client";

import { useState } from "react";
import { post } from "@/app/_sign-in/client.ts";

export function PasswordForm() {
  const [current, setCurrent] = useState("");
  const [next, setNext] = useState("");
  const [says, setSays] = useState("");
  const [isBusy, setBusy] = useState(false);
  const change = async () => {
    setBusy(true);
    try {
      await post("/change-password", { currentPassword: current, newPassword: next, revokeOtherSessions: true });
      setSays("The password was changed, and all your other sessions were ended.");
      setCurrent("");
      setNext("");
    } catch (error) {
      setSays((error as Error).message);
    }
    setBusy(false);
  };
  return (
    <form
      className="stacked"
      onSubmit={(event) => {
        event.preventDefault();
        change();
      }}
    >
      <p role="status">{says}</p>
      <label className="field">
        Password now
        <input
          type="password"
          autoComplete="current-password"
          required
          value={current}
          onChange={(e) => setCurrent(e.currentTarget.value)}
        />
      </label>
      <label className="field">
        New password, 12 characters or more
        <input
          type="password"
          autoComplete="new-password"
          required
          minLength={12}
          maxLength={128}
          value={next}
          onChange={(e) => setNext(e.currentTarget.value)}
        />
      </label>
      <button type="submit" className="button" disabled={isBusy}>
        Change the password
      </button>
    </form>
  );
}
