"use client";

import { useState } from "react";
import { post } from "./client.ts";

export function SignOutButton() {
  const [failed, setFailed] = useState(false);
  const signOut = async () => {
    try {
      await post("/sign-out", {});
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
