"use client";

import { useEffect, useState } from "react";
import { WORKER_FIELDS } from "@/app/_words/visit.ts";
import { keepOwnSetting, ownSetting } from "./visit-log.ts";

export interface Worker {
  name: string;
  licence: string;
  /** Said on this page, by whom the name names; never remembered. */
  qualified: boolean;
  /** Keep the time and place of photos. */
  keepPlace: boolean;
}

/** Who works, remembered on this phone but for the statement, which each person makes anew. */
export function useWorker(): [Worker, (worker: Worker) => void] {
  const [worker, setWorker] = useState<Worker>({ name: "", licence: "", qualified: false, keepPlace: true });
  useEffect(() => {
    Promise.all([ownSetting("name"), ownSetting("licence"), ownSetting("place")]).then(
      ([name, licence, place]) => setWorker((now) => ({ ...now, name, licence, keepPlace: place !== "no" })),
      () => {},
    );
  }, []);
  const keep = (next: Worker) => {
    const another = next.name !== worker.name || next.licence !== worker.licence;
    setWorker(another ? { ...next, qualified: false } : next);
    const own = { name: next.name, licence: next.licence, place: next.keepPlace ? "yes" : "no" };
    for (const [name, value] of Object.entries(own)) keepOwnSetting(name, value).catch(() => {});
  };
  return [worker, keep];
}

export function WorkerFields({ worker, onChange }: { worker: Worker; onChange: (worker: Worker) => void }) {
  return (
    <section aria-label={WORKER_FIELDS.whoWorks}>
      <label>
        {WORKER_FIELDS.yourName}
        <input value={worker.name} onChange={(event) => onChange({ ...worker, name: event.target.value })} />
      </label>
      <label>
        {WORKER_FIELDS.yourLicence}
        <input value={worker.licence} onChange={(event) => onChange({ ...worker, licence: event.target.value })} />
      </label>
      <label className="tick">
        <input
          type="checkbox"
          checked={worker.qualified}
          onChange={(event) => onChange({ ...worker, qualified: event.target.checked })}
        />
        {WORKER_FIELDS.iAmAQualified}
      </label>
      <label className="tick">
        <input
          type="checkbox"
          checked={worker.keepPlace}
          onChange={(event) => onChange({ ...worker, keepPlace: event.target.checked })}
        />
        {WORKER_FIELDS.keepTimeAndPlace}
      </label>
    </section>
  );
}
