"use client";

import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import Link from "next/link";
import { ageText, utcTime } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { GoingOutView } from "@/lib/reads/going-out-view.ts";
import { Calendars } from "./calendars.tsx";
import { RecipientForm } from "./recipient-form.tsx";
import "../plan.css";

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
      {view.wrong ? <p className="note danger">{view.wrong}. No e-mail is sent until then.</p> : null}
      {view.mailFrom === null && !view.wrong ? (
        <p className="note gap">No mail server is set, so no e-mail is sent. README says how to set one.</p>
      ) : null}
      <h2>Recipients</h2>
      {view.recipients.length === 0 ? (
        <p className="empty">Nobody is told. A make-safe alert then stays on the screen alone.</p>
      ) : (
        <Wide label="Recipients">
          <table>
            <thead>
              <tr>
                <th scope="col">Address</th>
                <th scope="col">Told of</th>
                <th scope="col">Quiet hours</th>
                <th scope="col">Added by</th>
                <th scope="col">
                  <span className="visually-hidden">What can be done</span>
                </th>
              </tr>
            </thead>
            <tbody>
              {view.recipients.map((r) => (
                <tr key={r.recipientId}>
                  <th scope="row">
                    {r.address} <span className="soft">{r.kind === "email" ? "e-mail" : "webhook"}</span>
                  </th>
                  <td>
                    {[r.makeSafe ? "make safe" : "", r.planChanges ? "changes of plans" : ""]
                      .filter(Boolean)
                      .join(", ")}
                  </td>
                  <td>{r.quiet ?? "none"}</td>
                  <td>{r.addedBy}</td>
                  <td className="buttons">
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
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      )}
      {act.error ? (
        <p className="note danger" role="alert">
          {act.error.message}
        </p>
      ) : null}
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
    <Wide label="Notices, newest first">
      <table>
        <thead>
          <tr>
            <th scope="col">Notice</th>
            <th scope="col">To</th>
            <th scope="col">State</th>
            <th scope="col" className="num">
              Tries
            </th>
            <th scope="col">Last try</th>
          </tr>
        </thead>
        <tbody>
          {view.log.map((entry) => (
            <tr key={entry.noticeId}>
              <th scope="row" className="wraps">
                {entry.subject}
                <br />
                <span className="soft">{ageText(entry.madeAt, view.now)}</span>
              </th>
              <td>{entry.address}</td>
              <td>
                {entry.state === "waiting"
                  ? `waits until ${utcTime(entry.nextAt)}`
                  : entry.state === "sent"
                    ? "sent"
                    : "given up"}
              </td>
              <td className="num">{entry.attempts}</td>
              <td>{entry.last ?? "none yet"}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
