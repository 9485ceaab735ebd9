"use client";

import { useQuery, useQueryClient } from "@tanstack/react-query";
import Link from "next/link";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Empty, Trouble } from "@/app/_ui/said.tsx";
import { Shortened } from "@/app/_ui/short-on-phone.tsx";
import { When } from "@/app/_ui/when.tsx";
import { ALERTS_VIEW } from "@/app/_words/alerts.ts";
import type { AlertLine, AlertsView as View } from "@/lib/reads/alerts-view.ts";
import { DutyForm } from "./duty-form.tsx";

const REFRESH_MS = 10_000;

async function fetchAlerts(): Promise<View> {
  const reply = await fetch("/api/pages/alerts");
  if (!reply.ok) throw new Error(ALERTS_VIEW.theAlertsCouldNot(reply.status));
  return (await reply.json()) as View;
}

/** Everything that waits for a named person, and what somebody has taken. */
export function AlertsView() {
  const { data, error } = useQuery({ queryKey: ["alerts"], queryFn: fetchAlerts, refetchInterval: REFRESH_MS });
  const [name, setName] = useState("");
  if (!data) return error ? <p role="alert">{error.message}</p> : <p role="status">{ALERTS_VIEW.loadingTheAlerts}</p>;
  const open = data.alerts.filter((alert) => alert.acknowledgedBy === null);
  const taken = data.alerts.filter((alert) => alert.acknowledgedBy !== null);
  return (
    <>
      <h1>{ALERTS_VIEW.alerts}</h1>
      <p className="soft">{ALERTS_VIEW.eachWaitsForSomebody}</p>
      <Trouble says={error?.message}> {ALERTS_VIEW.whatIsShownMay}</Trouble>
      <h2>{ALERTS_VIEW.nobodyHasThese(data.waiting)}</h2>
      {open.length === 0 ? (
        <Empty>{ALERTS_VIEW.noAlertWaitsThat}</Empty>
      ) : (
        <>
          <label className="field alert-name">
            {ALERTS_VIEW.yourName}
            <input type="text" value={name} onChange={(event) => setName(event.target.value)} autoComplete="name" />
          </label>
          <Shown alerts={open} name={name} />
        </>
      )}
      {data.waiting > open.length ? <p>{ALERTS_VIEW.andMoreShownAs(data.waiting - open.length)}</p> : null}
      <DutyForm duty={data.duty} />
      <h2>{ALERTS_VIEW.somebodyHasThese}</h2>
      {taken.length === 0 ? <p className="soft">{ALERTS_VIEW.noneYet}</p> : null}
      <ul className="alerts" data-alerts="taken">
        {taken.map((alert) => (
          <li key={`${alert.kind}/${alert.subject}`}>
            <Words alert={alert} />
            <p className="soft">
              {alert.acknowledgedBy} {ALERTS_VIEW.hasIt}
              {alert.acknowledgedAt ? (
                <>
                  {" "}
                  {ALERTS_VIEW.since} <When at={alert.acknowledgedAt} />
                </>
              ) : null}
              .
            </p>
          </li>
        ))}
      </ul>
    </>
  );
}

const FIRST_ON_PHONE = 12;

function Shown({ alerts, name }: { alerts: AlertLine[]; name: string }) {
  const list = (
    <ul className="alerts" data-alerts="open">
      {alerts.map((alert, i) => (
        <OpenAlert key={`${alert.kind}/${alert.subject}`} alert={alert} name={name} isLater={i >= FIRST_ON_PHONE} />
      ))}
    </ul>
  );
  return alerts.length > FIRST_ON_PHONE ? <Shortened label={ALERTS_VIEW.alerts}>{list}</Shortened> : list;
}

function Words({ alert }: { alert: AlertLine }) {
  return (
    <p>
      <Link href={`/sites/${encodeURIComponent(alert.siteId)}`}>{alert.siteName}</Link>{" "}
      <span className="soft">
        <When at={alert.raisedAt} />
      </span>
      <br />
      {alert.says}{" "}
      {alert.visitId ? (
        <Link href={`/visits/${encodeURIComponent(alert.visitId)}`}>{ALERTS_VIEW.visit(alert.visitId)}</Link>
      ) : null}
    </p>
  );
}

function OpenAlert({ alert, name, isLater }: { alert: AlertLine; name: string; isLater: boolean }) {
  const client = useQueryClient();
  const [trouble, setTrouble] = useState<string | null>(null);
  const [isBusy, setIsBusy] = useState(false);
  const take = async () => {
    if (name.trim() === "") return setTrouble(ALERTS_VIEW.writeYourNameAbove);
    setIsBusy(true);
    setTrouble(null);
    try {
      await postJson("/api/pages/alerts", { kind: alert.kind, subject: alert.subject, by: name.trim() });
    } catch (error) {
      setTrouble((error as Error).message);
    }
    setIsBusy(false);
    await client.invalidateQueries({ queryKey: ["alerts"] });
  };
  return (
    <li className={isLater ? "note danger later" : "note danger"}>
      <Words alert={alert} />
      <button type="button" className="button main" disabled={isBusy} onClick={take}>
        {ALERTS_VIEW.iHaveIt}
      </button>
      {trouble ? <p role="alert">{trouble}</p> : null}
    </li>
  );
}
