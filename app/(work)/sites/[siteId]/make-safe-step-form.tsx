"use client";

import { useRouter } from "next/navigation";
import { type FormEvent, type ReactNode, useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { MAKE_SAFE_STEP_FORM } from "@/app/_words/site-make-safe.ts";
import type { MakeSafeRun, SiteMakeSafe } from "@/lib/reads/make-safe-view.ts";
import {
  AuthoriseFields,
  IsolateFields,
  OwnerFields,
  ReleaseFields,
  RepairFields,
  TestFields,
} from "./make-safe-fields.tsx";
import { readStep } from "./make-safe-step.ts";

interface Props {
  siteId: string;
  view: SiteMakeSafe;
  run: MakeSafeRun;
}

/** What each step asks for besides the name, and what its button says. */
function stepParts({ view, run }: Props): { button: string; fields: ReactNode } | null {
  switch (run.next) {
    case "acknowledged":
      return { button: MAKE_SAFE_STEP_FORM.iHaveIt, fields: null };
    case "owner_told":
      return { button: MAKE_SAFE_STEP_FORM.theOwnerWasTold, fields: <OwnerFields view={view} /> };
    case "isolated":
      return { button: MAKE_SAFE_STEP_FORM.isolatedAndLocked, fields: <IsolateFields /> };
    case "repaired":
      return { button: MAKE_SAFE_STEP_FORM.repaired, fields: <RepairFields view={view} /> };
    case "tested":
      return { button: MAKE_SAFE_STEP_FORM.keepTheTests, fields: <TestFields /> };
    case "authorised":
      return { button: MAKE_SAFE_STEP_FORM.iAuthoriseReEnergising, fields: <AuthoriseFields view={view} /> };
    default:
      return null;
  }
}

/** The form of the step that has to be done now. */
export function MakeSafeStepForm(props: Props) {
  const parts = stepParts(props);
  if (!parts || props.run.next === null) return <p>{MAKE_SAFE_STEP_FORM.didTheFixesHold}</p>;
  return <StepForm {...props} kind={props.run.next} button={parts.button} fields={parts.fields} />;
}

export function FurtherRepair(props: Props) {
  return (
    <details>
      <summary>{MAKE_SAFE_STEP_FORM.aFurtherRepairAt}</summary>
      <StepForm
        {...props}
        kind="repaired"
        button={MAKE_SAFE_STEP_FORM.keepTheFurtherRepair}
        fields={<RepairFields view={props.view} />}
      />
    </details>
  );
}

export function Release(props: Props) {
  return (
    <details>
      <summary>{MAKE_SAFE_STEP_FORM.releaseByHand}</summary>
      <StepForm
        {...props}
        kind="released"
        button={MAKE_SAFE_STEP_FORM.releaseByHand}
        fields={<ReleaseFields isolated={props.run.isolatedSince !== null} />}
      />
    </details>
  );
}

function StepForm({ siteId, run, kind, button, fields }: Props & { kind: string; button: string; fields: ReactNode }) {
  const router = useRouter();
  const [trouble, setTrouble] = useState<string | null>(null);
  const [isBusy, setIsBusy] = useState(false);
  const send = async (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget);
    setIsBusy(true);
    setTrouble(null);
    try {
      const body = await readStep(kind, form, { siteId, makeSafeId: run.makeSafeId });
      await postJson(`/api/pages/make-safe/${encodeURIComponent(run.makeSafeId)}`, body);
      router.refresh();
    } catch (error) {
      setTrouble((error as Error).message);
    }
    setIsBusy(false);
  };
  return (
    <form onSubmit={send} className="no-print">
      {fields}
      <label>
        {MAKE_SAFE_STEP_FORM.yourName}
        <input name="by" autoComplete="name" />
      </label>
      <button type="submit" className="button main" disabled={isBusy}>
        {button}
      </button>
      <Trouble says={trouble} />
    </form>
  );
}
