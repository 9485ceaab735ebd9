"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import type { SessionLine } from "@/lib/reads/sessions-view.ts";

export function SessionTable({ sessions }: { sessions: SessionLine[] }) {
  const router = useRouter();
  const [says, setSays] = useState("");
  const end = async (url: string, done: string) => {
    try {
      await postJson(url, {});
      setSays(done);
      router.refresh();
    } catch (error) {
      setSays((error as Error).message);
    }
  };
  const others = sessions.filter((s) => !s.isThis);
  return (
    <>
      <p className="soft">A session ends 14 days after it began, or at once when you end it here.</p>
      <p role="status">{says}</p>
      <Table
        label="Your sessions"
        className="ranked"
        columns={[
          { name: "Browser", cell: (s) => browserName(s.browser) },
          { name: "From", label: "From", cell: (s) => s.from || "not known" },
          { name: "Since", label: "Since", cell: (s) => <When at={s.since} /> },
          { name: "Ends by itself", label: "Ends by itself", cell: (s) => <When at={s.until} /> },
          {
            name: "End it",
            cell: (s) =>
              s.isThis ? (
                <span className="soft">this one: use Sign out</span>
              ) : (
                <button
                  type="button"
                  className="button"
                  onClick={() => end(`/api/pages/sessions/${encodeURIComponent(s.id)}/end`, "The session was ended.")}
                >
                  End
                </button>
              ),
          },
        ]}
        rows={sessions}
        keyOf={(s) => s.id}
      />
      {others.length > 1 ? (
        <p>
          <button
            type="button"
            className="button"
            onClick={() => end("/api/pages/sessions/end-others", "All other sessions were ended.")}
          >
            End all {others.length} others
          </button>
        </p>
      ) : null}
    </>
  );
}

/** Kind of program and system out of the long text that browsers send; the text itself where it says neither. */
function browserName(agent: string): string {
  const system = /(Android|iPhone|iPad|Windows|Mac OS|Linux)/.exec(agent)?.[1];
  const isBrowser = /Mozilla\//.test(agent);
  if (!isBrowser) return agent.slice(0, 60) || "not known";
  return system ? `browser on ${system}` : "browser";
}
