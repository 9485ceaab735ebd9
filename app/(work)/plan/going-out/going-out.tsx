"use client";

import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import Link from "next/link";
import { ageText } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { Table } from "@/app/_ui/table.tsx";
import { MOMENT, Timed } from "@/app/_ui/timed.tsx";
import { GOING_OUT } from "@/app/_words/plan.ts";
import type { GoingOutView } from "@/lib/reads/going-out-view.ts";
import { Calendars } from "./calendars.tsx";
import { RecipientForm } from "./recipient-form.tsx";
import "../plan.css";
import { Empty, Note, Trouble } from "@/app/_ui/said.tsx";

const NOTICES = "/api/pages/notices";

async function fetchView(): Promise<GoingOutView> {
  const reply = await fetch(NOTICES);
  if (!reply.ok) throw new Error(GOING_OUT.whatWentOutCould(reply.status));
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
      <h1>{GOING_OUT.whoIsTold}</h1>
      <p className="soft">
        {GOING_OUT.makeSafeAlertsAnd} <Link href="/plan">{GOING_OUT.plans}</Link>
      </p>
      {view.wrong ? <Note kind="danger">{GOING_OUT.noEMailIs(view.wrong)}</Note> : null}
      {view.mailFrom === null && !view.wrong ? <Note kind="gap">{GOING_OUT.noMailServerIs}</Note> : null}
      <h2>{GOING_OUT.recipients}</h2>
      {view.recipients.length === 0 ? (
        <Empty>{GOING_OUT.nobodyIsToldA}</Empty>
      ) : (
        <Table
          label={GOING_OUT.recipients}
          columns={[
            {
              name: GOING_OUT.address,
              head: true,
              cell: (r) => (
                <>
                  {r.address} <span className="soft">{r.kind === "email" ? GOING_OUT.eMail : GOING_OUT.webhook}</span>
                </>
              ),
            },
            {
              name: GOING_OUT.toldOf,
              cell: (r) =>
                [r.makeSafe ? GOING_OUT.makeSafe : "", r.planChanges ? GOING_OUT.changesOfPlans : ""]
                  .filter(Boolean)
                  .join(", "),
            },
            { name: GOING_OUT.quietHours, cell: (r) => r.quiet ?? GOING_OUT.none },
            { name: GOING_OUT.addedBy, cell: (r) => r.addedBy },
            {
              name: <span className="visually-hidden">{GOING_OUT.whatCanBeDone}</span>,
              className: "buttons",
              cell: (r) => (
                <>
                  <button
                    type="button"
                    className="button"
                    disabled={act.isPending}
                    onClick={() => act.mutate({ url: `${NOTICES}/test`, recipientId: r.recipientId })}
                  >
                    {GOING_OUT.sendATest} <span className="visually-hidden">{GOING_OUT.to(r.address)}</span>
                  </button>
                  <button
                    type="button"
                    className="button"
                    disabled={act.isPending}
                    onClick={() => act.mutate({ url: `${NOTICES}/remove`, recipientId: r.recipientId })}
                  >
                    {GOING_OUT.remove} <span className="visually-hidden">{r.address}</span>
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
      <h2>{GOING_OUT.whatWentOut}</h2>
      <Log view={view} />
    </>
  );
}

function Log({ view }: { view: GoingOutView }) {
  if (view.log.length === 0) return <p className="soft">{GOING_OUT.nothingYet}</p>;
  return (
    <Table
      label={GOING_OUT.noticesNewestFirst}
      columns={[
        {
          name: GOING_OUT.notice,
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
        { name: GOING_OUT.to2, cell: (entry) => entry.address },
        {
          name: GOING_OUT.state,
          cell: (entry) =>
            entry.state === "waiting" ? (
              <Timed says={GOING_OUT.waitsUntil(MOMENT)} at={entry.nextAt} />
            ) : entry.state === "sent" ? (
              GOING_OUT.sent
            ) : (
              GOING_OUT.givenUp
            ),
        },
        { name: GOING_OUT.tries, num: true, cell: (entry) => entry.attempts },
        { name: GOING_OUT.lastTry, cell: (entry) => entry.last ?? GOING_OUT.noneYet },
      ]}
      rows={view.log}
      keyOf={(entry) => entry.noticeId}
    />
  );
}
