"use client";

import { PageError } from "@/app/_ui/page-error.tsx";

/** Where not even who is asking could be read. */
export default function AnyError({ error, retry }: { error: Error & { digest?: string }; retry: () => void }) {
  return (
    <main className="body">
      <PageError error={error} retry={retry} />
    </main>
  );
}
