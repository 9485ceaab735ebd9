"use client";

import { SHARED, TROUBLE } from "@/app/_words/shared.ts";

export default function WorkError({ error, reset }: { error: Error & { digest?: string }; reset: () => void }) {
  if (error.digest === "forbidden") return <Forbidden />;
  return (
    <div role="alert">
      <h1>{TROUBLE.pageTitle}</h1>
      <p>
        {TROUBLE.page} <code>{TROUBLE.doctor}</code> {TROUBLE.look(error.digest)}
      </p>
      <button type="button" className="button" onClick={reset}>
        {TROUBLE.tryAgain}
      </button>
    </div>
  );
}

function Forbidden() {
  return (
    <div role="alert" data-forbidden>
      <h1>{TROUBLE.roleTitle}</h1>
      <p>{TROUBLE.role}</p>
      <p>
        <a href="/sites">{SHARED.toRankedSites}</a>
      </p>
    </div>
  );
}
