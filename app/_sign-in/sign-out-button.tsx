"use client";

import { useState } from "react";
import { post } from "./client.ts";

export function SignOutButton() {
  const [failed, setFailed] = useState(false);
  const signOut = async () => {
    try {
      await post("/sign-out", {});
      // Visits kept for places without signal are not for whoever holds the phone next; unsent work stays.
      if ("caches" in window) await caches.delete("raintrip-visits");
      window.location.assign("/sign-in");
    } catch {
      setFailed(true);
    }
  };
  return (
    <>
      <button type="button" className="link-button" onClick={signOut}>
        Sign out
      </button>
      {failed ? <span role="alert"> The server did not answer; you are still signed in.</span> : null}
    </>
  );
}
