"use client";

import { words } from "@/app/_ui/format.ts";
import { CLOSING } from "@/app/_words/visit.ts";
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
            <option value="">{CLOSING.notSaid}</option>
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
    <section aria-label={CLOSING.signOff}>
      <h2>{CLOSING.signOff}</h2>
      {pick("cause", CLOSING.causeFound, REPAIR_CAUSES)}
      {pick("confirmed", CLOSING.foundByMeasurementOr, ["yes", "no"])}
      <Note itemId={WHOLE_VISIT} field="action" label={CLOSING.whatWasDone} log={log} worker={worker} />
      {pick("tested_after", CLOSING.testedAfter, TESTED_AFTER)}
      <Note itemId={WHOLE_VISIT} field="left" label={CLOSING.stateTheSiteIs} log={log} worker={worker} />
      <p>{CLOSING.whatWasNotChecked}</p>
      <button type="button" className="big" disabled={!named || stopStands} onClick={sign}>
        {signed && !signed.stands ? CLOSING.signAgain : CLOSING.signOff2}
      </button>
      {stopStands ? <p className="note danger">{CLOSING.aStopStandsNothing}</p> : null}
      {named ? null : <p>{CLOSING.giveYourNameAnd}</p>}
      {signed?.stands ? <p>{CLOSING.signedBy(signed.says)}</p> : null}
      {signed && !signed.stands ? <p className="note danger">{CLOSING.signedBeforeTheLast(signed.says)}</p> : null}
      {log.whyOpen ? (
        <p className="note danger" data-why-open>
          {log.whyOpen}
        </p>
      ) : null}
    </section>
  );
}
