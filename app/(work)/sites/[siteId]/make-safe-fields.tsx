"use client";

import { words } from "@/app/_ui/format.ts";
import { CAUSES, SURFACES } from "@/lib/core/records.ts";
import type { SiteMakeSafe } from "@/lib/reads/make-safe-view.ts";
import { TEST_RESULTS } from "@/lib/visit/make-safe-state.ts";

const MEANS = ["telephone", "message that was answered", "in person", "letter on site"];

export function OwnerFields({ view }: { view: SiteMakeSafe }) {
  return (
    <>
      <label>
        Who was told
        <input name="whom" defaultValue={view.contact.name ?? ""} />
      </label>
      <Pick name="means" label="By what means" values={MEANS} />
      <Tick name="keepOff" label="To keep people off the array, the racking and the ladder" />
      <Tick name="noReset" label="Not to reset anything, from afar or on site" />
    </>
  );
}

export function IsolateFields() {
  return (
    <>
      <p>
        Stop the inverter, open and lock AC then DC, prove absence live-dead-live. Never unplug or open under load. What
        is on the module side stays live in light.
      </p>
      <label>
        Number of the lock
        <input name="lock" />
      </label>
      <label>
        Photo of the lock and its tag
        <input name="photo" type="file" accept="image/*" />
      </label>
    </>
  );
}

export function RepairFields({ view }: { view: SiteMakeSafe }) {
  return (
    <>
      {view.repairs.length > 0 ? (
        <label>
          A repair that is on record already
          <select name="onRecord" defaultValue="">
            <option value="">none of these: as written below</option>
            {view.repairs.map((repair) => (
              <option
                key={`${repair.repairedAt}/${repair.cause}/${repair.says}`}
                value={`${repair.repairedAt}/${repair.cause}`}
              >
                {repair.says}
              </option>
            ))}
          </select>
        </label>
      ) : null}
      <Pick name="cause" label="Cause that was repaired" values={CAUSES} />
      <Pick name="sectionId" label="Section" values={view.sectionIds} none="the site as a whole" />
      <Pick name="inverterId" label="Inverter" values={view.inverterIds} none="none named" />
      <label>
        What was done
        <textarea name="action" rows={2} />
      </label>
      <Tick name="confirmed" label="The cause was found by measurement or sight" />
    </>
  );
}

export function TestFields() {
  return (
    <>
      <p>
        With the system still isolated and by a written procedure: continuity of the bonds and conductors, insulation of
        the array; with the surface wet, as far as that can be had. Nobody wets an array for it.
      </p>
      <Pick name="continuity" label="Continuity" values={TEST_RESULTS} none="not said" />
      <Pick name="insulation" label="Insulation" values={TEST_RESULTS} none="not said" />
      <Pick name="surface" label="Surface" values={SURFACES} />
      <label>
        Readings, with units
        <textarea name="readings" rows={2} />
      </label>
    </>
  );
}

export function AuthoriseFields({ view }: { view: SiteMakeSafe }) {
  return (
    <>
      {[...view.stops.map((stop) => `A stop stands: ${stop}`), ...view.findings].map((says) => (
        <p key={says} className="note danger">
          {says}
        </p>
      ))}
      <Licence />
    </>
  );
}

export function ReleaseFields({ isolated }: { isolated: boolean }) {
  return (
    <>
      <p>
        Only where the alert was wrong. A release says nothing of the site’s state, stays on record under your name, and
        is refused while a stop stands.
      </p>
      <label>
        Why
        <textarea name="reason" rows={2} />
      </label>
      {isolated ? <Licence /> : null}
    </>
  );
}

function Licence() {
  return (
    <>
      <label>
        Licence
        <input name="licence" />
      </label>
      <Tick name="qualified" label="I am a qualified person" />
    </>
  );
}

function Tick({ name, label }: { name: string; label: string }) {
  return (
    <label className="tick">
      <input type="checkbox" name={name} />
      {label}
    </label>
  );
}

function Pick({
  name,
  label,
  values,
  none,
}: {
  name: string;
  label: string;
  values: readonly string[];
  none?: string;
}) {
  return (
    <label>
      {label}
      <select name={name} defaultValue="">
        <option value="">{none ?? "choose"}</option>
        {values.map((value) => (
          <option key={value} value={value}>
            {words(value)}
          </option>
        ))}
      </select>
    </label>
  );
}
