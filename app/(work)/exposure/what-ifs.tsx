"use client";

import { useMutation, useQuery } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { WHAT_IFS } from "@/app/_words/exposure.ts";
import type { WhatIfAsked } from "@/lib/reads/exposure-stored.ts";
import type { WhatIfView } from "@/lib/reads/exposure-view.ts";
import { WhatIfAnswer } from "./what-if-answer.tsx";
import { WhatIfFields, type WhatIfKind } from "./what-if-fields.tsx";

interface Props {
  /** Null: all books. */
  book: string | null;
  /** Site ids, greatest part in the tail first. */
  sites: readonly string[];
  installers: readonly { installer: string; sites: number }[];
  currency: string;
}

async function fetchAnswer(runId: string): Promise<WhatIfView> {
  const reply = await fetch(`/api/pages/exposure/what-if/${encodeURIComponent(runId)}`);
  const said = (await reply.json().catch(() => null)) as (WhatIfView & { error?: { message?: string } }) | null;
  if (!reply.ok || !said) throw new Error(said?.error?.message ?? WHAT_IFS.theServerAnswered(reply.status));
  return said;
}

/** The act that a form describes. */
function actOf(kind: WhatIfKind, form: FormData, sites: readonly string[]): WhatIfAsked["act"] {
  const text = (name: string) => String(form.get(name) ?? "").trim();
  const sum = (name: string) => Number(text(name));
  if (kind === "inspect") return { kind, installer: text("installer") };
  if (kind === "cover") {
    const cover = text("cover") as "property_insurance" | "liability_insurance";
    const basis = text("basis") as "aggregate" | "per_occurrence";
    const premiumPerSite = sum("premium");
    return { kind, cover, basis, limit: sum("limit"), deductible: sum("deductible"), premiumPerSite };
  }
  const named = text("named")
    .split(/[\s,;]+/)
    .filter(Boolean);
  return { kind, siteIds: named.length > 0 ? named : sites.slice(0, sum("count")) };
}

/** Asks what an act would change, and shows the answer when the worker has drawn it. */
export function WhatIfs({ book, sites, installers, currency }: Props) {
  const [kind, setKind] = useState<WhatIfKind>("visit");
  const [runId, setRunId] = useState<string | null>(null);
  const ask = useMutation({
    mutationFn: (asked: WhatIfAsked) => postJson<{ runId: string }>("/api/pages/exposure/what-if", asked),
    onSuccess: (answer) => setRunId(answer.runId),
  });
  const { data, error } = useQuery({
    queryKey: ["what-if", runId],
    queryFn: () => fetchAnswer(runId as string),
    enabled: runId !== null,
    refetchInterval: (q) => (["waiting", "running"].includes(q.state.data?.run.status ?? "waiting") ? 500 : false),
  });
  const stop = useMutation({
    mutationFn: (id: string) => postJson("/api/pages/exposure/stop", { runId: id }),
  });
  const onSubmit = (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    setRunId(null);
    ask.mutate({ book, act: actOf(kind, new FormData(event.currentTarget), sites) });
  };
  const failed = ask.error ?? error;
  const isOpen = data && ["waiting", "running"].includes(data.run.status);
  return (
    <section aria-label={WHAT_IFS.whatIf}>
      <form className="filters" onSubmit={onSubmit}>
        <label>
          {WHAT_IFS.doThis}
          <select value={kind} onChange={(e) => setKind(e.target.value as WhatIfKind)}>
            <option value="visit">{WHAT_IFS.visitSites}</option>
            <option value="inspect">{WHAT_IFS.inspectAllOfAn}</option>
            <option value="cover">{WHAT_IFS.buyCover}</option>
          </select>
        </label>
        <WhatIfFields kind={kind} most={sites.length} installers={installers} currency={currency} />
        <button type="submit" className="button main" disabled={ask.isPending || isOpen === true}>
          {WHAT_IFS.ask}
        </button>
      </form>
      <Trouble says={failed?.message} />
      <div aria-live="polite">
        {isOpen ? (
          <p>
            {WHAT_IFS.drawingTheSameYears(
              data.run.done.toLocaleString("en-US"),
              data.run.total.toLocaleString("en-US"),
            )}{" "}
            <progress value={data.run.done} max={Math.max(1, data.run.total)} aria-label={WHAT_IFS.progressOfTheWhat} />{" "}
            <button
              type="button"
              className="button"
              disabled={stop.isPending}
              onClick={() => stop.mutate(data.run.runId)}
            >
              {WHAT_IFS.stop}
            </button>
          </p>
        ) : null}
        {data && !isOpen ? <WhatIfAnswer view={data} /> : null}
      </div>
    </section>
  );
}
