"use client";

import { useState } from "react";
import { SHARED } from "@/app/_words/shared.ts";
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
        {SHARED.signOut}
      </button>
      {failed ? <span role="alert"> {SHARED.signOutFailed}</span> : null}
    </>
  );
}
