"use client";

import { words } from "@/app/_ui/format.ts";
import { REPAIR_CAUSES, TESTED_AFTER } from "@/lib/core/records.ts";
import { recordDigest, signatureValue, signOffOf, WHOLE_VISIT } from "@/lib/visit/signature.ts";
import { Note, Others } from "./note.tsx";
import { fieldOf, type VisitLog } from "./use-visit-log.ts";
import type { Worker } from "./worker-fields.tsx";

interface Props {
  log: VisitLog;
  worker: Worker;
  stopStands: boolean;
}

export function Closing({ log, worker, stopStands }: Props) {
  const pick = (name: string, label: string, values: readonly string[]) => {
    const { own, others } = fieldOf(log.edits, WHOLE_VISIT, name, worker.name);
    return (
      <>
        <label>
          {label}
          <select value={own} onChange={(event) => log.write(WHOLE_VISIT, name, event.target.value, worker.name)}>
            <option value="">not said</option>
            {values.map((value) => (
              <option key={value} value={value}>
                {words(value)}
              </option>
            ))}
          </select>
        </label>
        <Others values={others.map((one) => ({ ...one, value: words(one.value) }))} />
      </>
    );
  };
  const signed = signOffOf(log.edits);
  const named = worker.name.trim() !== "" && worker.licence.trim() !== "";
  const sign = () => {
    const own = { name: worker.name.trim(), licence: worker.licence.trim(), over: recordDigest(log.edits) };
    return log.write(WHOLE_VISIT, "signed", signatureValue(own), worker.name);
  };
  return (
    <section aria-label="Sign-off">
      <h2>Sign-off</h2>
      {pick("cause", "Cause found", REPAIR_CAUSES)}
      {pick("confirmed", "Found by measurement or sight", ["yes", "no"])}
      <Note itemId={WHOLE_VISIT} field="action" label="What was done" log={log} worker={worker} />
      {pick("tested_after", "Tested after", TESTED_AFTER)}
      <Note itemId={WHOLE_VISIT} field="left" label="State the site is left in" log={log} worker={worker} />
      <p>What was not checked is a gap, not a pass.</p>
      <button type="button" className="big" disabled={!named || stopStands} onClick={sign}>
        {signed && !signed.stands ? "Sign again" : "Sign off"}
      </button>
      {stopStands ? <p className="note danger">A stop stands: nothing is signed off until it is lowered.</p> : null}
      {named ? null : <p>Give your name and licence first.</p>}
      {signed?.stands ? <p>Signed by {signed.says}.</p> : null}
      {signed && !signed.stands ? (
        <p className="note danger">
          Signed before the last change by {signed.says}: something was written since. All of it is kept. Look at it and
          sign again.
        </p>
      ) : null}
      {log.whyOpen ? (
        <p className="note danger" data-why-open>
          {log.whyOpen}
        </p>
      ) : null}
    </section>
  );
}
