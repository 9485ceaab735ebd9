"use client";

import { useState } from "react";

/** Makes the evidence file and saves it. The server streams it; the browser shows how far it is. */
export function EvidenceButton({ siteId }: { siteId: string }) {
  const [asked, setAsked] = useState(false);
  return (
    <form
      method="post"
      action={`/api/pages/sites/${encodeURIComponent(siteId)}/evidence`}
      className="no-print"
      onSubmit={() => setAsked(true)}
    >
      <p className="soft">
        One ZIP: a summary as PDF, every record as CSV, weather, photos, papers and a manifest with the SHA-256 of each
        part. Its seal is entered in the audit log. The command verify checks it without a database.
      </p>
      <button type="submit" className="button main">
        Download the evidence file
      </button>
      <p role="status" className="soft">
        {asked ? "It is being made; the download begins in a few seconds." : ""}
      </p>
    </form>
  );
}
