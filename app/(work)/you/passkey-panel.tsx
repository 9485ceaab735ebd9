"use client";

import { useCallback, useEffect, useState } from "react";
import { post } from "@/app/_sign-in/client.ts";
import { passkeys } from "@/app/_sign-in/passkeys.ts";

interface Passkey {
  id: string;
  name?: string | null;
  createdAt?: string | Date | null;
}

/** Keys kept by the phone or computer itself: nothing to type, and nothing that a false page could take. */
export function PasskeyPanel() {
  const [keys, setKeys] = useState<Passkey[]>([]);
  const [name, setName] = useState("");
  const [says, setSays] = useState("");
  const [canMake, setCanMake] = useState(false);
  const load = useCallback(async () => {
    const reply = await fetch("/api/auth/passkey/list-user-passkeys");
    if (reply.ok) setKeys((await reply.json()) as Passkey[]);
    else setSays("Your passkeys could not be read. Load the page again.");
  }, []);
  useEffect(() => {
    setCanMake("PublicKeyCredential" in window);
    load();
  }, [load]);
  const add = async () => {
    const { error } = await passkeys.passkey.addPasskey({ name: name || "passkey" });
    setSays(error ? (error.message ?? "No passkey was made.") : "The passkey was added.");
    setName("");
    await load();
  };
  const remove = async (id: string) => {
    try {
      await post("/passkey/delete-passkey", { id });
      setSays("The passkey was removed; it no longer signs you in.");
    } catch (error) {
      setSays((error as Error).message);
    }
    await load();
  };
  return (
    <>
      <p role="status">{says}</p>
      {keys.length === 0 ? <p>You have none. A passkey signs you in without typing anything.</p> : null}
      <ul>
        {keys.map((key) => (
          <li key={key.id}>
            {key.name || "passkey"}{" "}
            <button type="button" className="button" onClick={() => remove(key.id)}>
              Remove {key.name || "passkey"}
            </button>
          </li>
        ))}
      </ul>
      {canMake ? (
        <form
          className="filters"
          onSubmit={(event) => {
            event.preventDefault();
            add();
          }}
        >
          <label>
            Name of this device
            <input type="text" value={name} maxLength={100} onChange={(e) => setName(e.currentTarget.value)} />
          </label>
          <button type="submit" className="button">
            Add a passkey
          </button>
        </form>
      ) : (
        <p className="soft">This browser, or this address, does not offer passkeys.</p>
      )}
    </>
  );
}
