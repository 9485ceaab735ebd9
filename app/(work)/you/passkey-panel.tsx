"use client";

import { useCallback, useEffect, useState } from "react";
import { post } from "@/app/_sign-in/client.ts";
import { passkeys } from "@/app/_sign-in/passkeys.ts";
import { PASSKEY_PANEL } from "@/app/_words/you.ts";

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
    else setSays(PASSKEY_PANEL.yourPasskeysCouldNot);
  }, []);
  useEffect(() => {
    setCanMake("PublicKeyCredential" in window);
    load();
  }, [load]);
  const add = async () => {
    const { error } = await passkeys.passkey.addPasskey({ name: name || "passkey" });
    setSays(error ? (error.message ?? PASSKEY_PANEL.noPasskeyWasMade) : PASSKEY_PANEL.thePasskeyWasAdded);
    setName("");
    await load();
  };
  const remove = async (id: string) => {
    try {
      await post("/passkey/delete-passkey", { id });
      setSays(PASSKEY_PANEL.thePasskeyWasRemoved);
    } catch (error) {
      setSays((error as Error).message);
    }
    await load();
  };
  return (
    <>
      <p role="status">{says}</p>
      {keys.length === 0 ? <p>{PASSKEY_PANEL.youHaveNoneA}</p> : null}
      <ul>
        {keys.map((key) => (
          <li key={key.id}>
            {key.name || PASSKEY_PANEL.passkey}{" "}
            <button type="button" className="button" onClick={() => remove(key.id)}>
              {PASSKEY_PANEL.remove(key.name || PASSKEY_PANEL.passkey)}
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
            {PASSKEY_PANEL.nameOfThisDevice}
            <input type="text" value={name} maxLength={100} onChange={(e) => setName(e.currentTarget.value)} />
          </label>
          <button type="submit" className="button">
            {PASSKEY_PANEL.addAPasskey}
          </button>
        </form>
      ) : (
        <p className="soft">{PASSKEY_PANEL.thisBrowserOrThis}</p>
      )}
    </>
  );
}
