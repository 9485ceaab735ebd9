"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import { SESSION_TABLE } from "@/app/_words/you.ts";
import type { SessionLine } from "@/lib/reads/sessions-view.ts";

const FIRST_ON_PHONE = 5;
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
      <p className="soft">{SESSION_TABLE.aSessionEndsDays}</p>
      <p role="status">{says}</p>
      <Table
        label={SESSION_TABLE.yourSessions}
        className="ranked"
        columns={[
          { name: SESSION_TABLE.browser, cell: (s) => browserName(s.browser) },
          { name: SESSION_TABLE.from, label: SESSION_TABLE.from, cell: (s) => s.from || SESSION_TABLE.notKnown },
          { name: SESSION_TABLE.since, label: SESSION_TABLE.since, cell: (s) => <When at={s.since} /> },
          { name: SESSION_TABLE.endsByItself, label: SESSION_TABLE.endsByItself, cell: (s) => <When at={s.until} /> },
          {
            name: SESSION_TABLE.endIt,
            label: "",
            cell: (s) =>
              s.isThis ? (
                <span className="soft">{SESSION_TABLE.thisOneUseSign}</span>
              ) : (
                <button
                  type="button"
                  className="button"
                  onClick={() =>
                    end(`/api/pages/sessions/${encodeURIComponent(s.id)}/end`, SESSION_TABLE.theSessionWasEnded)
                  }
                >
                  {SESSION_TABLE.end}
                </button>
              ),
          },
        ]}
        rows={sessions}
        later={(_, i) => i >= FIRST_ON_PHONE}
        keyOf={(s) => s.id}
      />
      {others.length > 1 ? (
        <p>
          <button
            type="button"
            className="button"
            onClick={() => end("/api/pages/sessions/end-others", SESSION_TABLE.allOtherSessionsWere)}
          >
            {SESSION_TABLE.endAllOthers(others.length)}
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
  if (!isBrowser) return agent.slice(0, 60) || SESSION_TABLE.notKnown;
  return system ? SESSION_TABLE.browserOn(system) : "browser";
}
