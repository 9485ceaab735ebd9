"use client";

import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import Link from "next/link";
import { ageText, utcTime } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { Table } from "@/app/_ui/table.tsx";
import type { GoingOutView } from "@/lib/reads/going-out-view.ts";
import { Calendars } from "./calendars.tsx";
import { RecipientForm } from "./recipient-form.tsx";
import "../plan.css";
import { Empty, Note, Trouble } from "@/app/_ui/said.tsx";

const NOTICES = "/api/pages/notices";

async function fetchView(): Promise<GoingOutView> {
  const reply = await fetch(NOTICES);
  if (!reply.ok) throw new Error(`What went out could not be read (${reply.status}).`);
  return (await reply.json()) as GoingOutView;
}

/** Who is told of make-safe alerts and of changes of plans, how that went, and the crews' calendars. */
export function GoingOut({ initial }: { initial: GoingOutView }) {
  const client = useQueryClient();
  const { data: view } = useQuery({
    queryKey: ["going-out"],
    queryFn: fetchView,
    initialData: initial,
    refetchInterval: (q) => (q.state.data?.log.some((entry) => entry.state === "waiting") ? 3_000 : 30_000),
  });
  const again = () => client.invalidateQueries({ queryKey: ["going-out"] });
  const act = useMutation({
    mutationFn: ({ url, recipientId }: { url: string; recipientId: string }) => postJson(url, { recipientId }),
    onSettled: again,
  });
  return (
    <>
      <h1>Who is told</h1>
      <p className="soft">
        Make-safe alerts and changes of confirmed plans go to the people and programs below. Quiet hours hold back
        changes of plans; a make-safe alert goes out in them too. <Link href="/plan">Plans</Link>
      </p>
      {view.wrong ? <Note kind="danger">{view.wrong}. No e-mail is sent until then.</Note> : null}
      {view.mailFrom === null && !view.wrong ? (
        <Note kind="gap">No mail server is set, so no e-mail is sent. README says how to set one.</Note>
      ) : null}
      <h2>Recipients</h2>
      {view.recipients.length === 0 ? (
        <Empty>Nobody is told. A make-safe alert then stays on the screen alone.</Empty>
      ) : (
        <Table
          label="Recipients"
          columns={[
            {
              name: "Address",
              head: true,
              cell: (r) => (
                <>
                  {r.address} <span className="soft">{r.kind === "email" ? "e-mail" : "webhook"}</span>
                </>
              ),
            },
            {
              name: "Told of",
              cell: (r) =>
                [r.makeSafe ? "make safe" : "", r.planChanges ? "changes of plans" : ""].filter(Boolean).join(", "),
            },
            { name: "Quiet hours", cell: (r) => r.quiet ?? "none" },
            { name: "Added by", cell: (r) => r.addedBy },
            {
              name: <span className="visually-hidden">What can be done</span>,
              className: "buttons",
              cell: (r) => (
                <>
                  <button
                    type="button"
                    className="button"
                    disabled={act.isPending}
                    onClick={() => act.mutate({ url: `${NOTICES}/test`, recipientId: r.recipientId })}
                  >
                    Send a test <span className="visually-hidden">to {r.address}</span>
                  </button>
                  <button
                    type="button"
                    className="button"
                    disabled={act.isPending}
                    onClick={() => act.mutate({ url: `${NOTICES}/remove`, recipientId: r.recipientId })}
                  >
                    Remove <span className="visually-hidden">{r.address}</span>
                  </button>
                </>
              ),
            },
          ]}
          rows={view.recipients}
          keyOf={(r) => r.recipientId}
        />
      )}
      <Trouble says={act.error?.message} />
      <RecipientForm onAdded={again} />
      <Calendars view={view} onChanged={again} />
      <h2>What went out</h2>
      <Log view={view} />
    </>
  );
}

function Log({ view }: { view: GoingOutView }) {
  if (view.log.length === 0) return <p className="soft">Nothing yet.</p>;
  return (
    <Table
      label="Notices, newest first"
      columns={[
        {
          name: "Notice",
          head: true,
          className: "wraps",
          cell: (entry) => (
            <>
              {entry.subject}
              <br />
              <span className="soft">{ageText(entry.madeAt, view.now)}</span>
            </>
          ),
        },
        { name: "To", cell: (entry) => entry.address },
        {
          name: "State",
          cell: (entry) =>
            entry.state === "waiting"
              ? `waits until ${utcTime(entry.nextAt)}`
              : entry.state === "sent"
                ? "sent"
                : "given up",
        },
        { name: "Tries", num: true, cell: (entry) => entry.attempts },
        { name: "Last try", cell: (entry) => entry.last ?? "none yet" },
      ]}
      rows={view.log}
      keyOf={(entry) => entry.noticeId}
    />
  );
}
