"use client";

import { useEffect, useState } from "react";
import { TROUBLE } from "@/app/_words/shared.ts";
import { AWAY_LOOK_MS } from "./query-client.ts";

/** While the server says that it is well, a page that fails is asked for again this often in a minute, then left to the person. */
const OWN_TRIES = 3;
const MINUTE_MS = 60_000;
/** Of this tab: the error is shown anew each time, and would count from nothing. */
let tried: number[] = [];

const isReady = () =>
  fetch("/api/health/ready").then(
    (reply) => reply.ok,
    () => false,
  );

interface Props {
  error: Error & { digest?: string };
  /** Ask the server for the page again. */
  retry: () => void;
}

/** In place of a page that could not be shown. It goes on by itself as soon as the server and its database answer. */
export function PageError({ error, retry }: Props) {
  const [away, setAway] = useState(false);
  useEffect(() => {
    let ended = false;
    let timer: ReturnType<typeof setTimeout>;
    let wasAway = false;
    const look = async () => {
      const ready = await isReady();
      if (ended) return;
      setAway(!ready);
      tried = tried.filter((at) => at > Date.now() - MINUTE_MS);
      if (ready && (wasAway || tried.length < OWN_TRIES)) {
        if (!wasAway) tried.push(Date.now());
        retry();
      }
      wasAway = !ready;
      timer = setTimeout(look, AWAY_LOOK_MS);
    };
    look();
    return () => {
      ended = true;
      clearTimeout(timer);
    };
  }, [retry]);
  return (
    <div role="alert">
      <h1>{away ? TROUBLE.awayTitle : TROUBLE.pageTitle}</h1>
      <p>
        {away ? TROUBLE.away : TROUBLE.page} <code>{TROUBLE.doctor}</code> {TROUBLE.look(error.digest)}
      </p>
      <button type="button" className="button" onClick={retry}>
        {TROUBLE.tryAgain}
      </button>
    </div>
  );
}
