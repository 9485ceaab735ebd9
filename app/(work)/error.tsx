"use client";

import { PageError } from "@/app/_ui/page-error.tsx";
import { SHARED, TROUBLE } from "@/app/_words/shared.ts";

export default function WorkError({ error, retry }: { error: Error & { digest?: string }; retry: () => void }) {
  return error.digest === "forbidden" ? <Forbidden /> : <PageError error={error} retry={retry} />;
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
