"use client";

import { words } from "@/app/_ui/format.ts";
import { MAKE_SAFE_FIELDS } from "@/app/_words/site-make-safe.ts";
import { CAUSES, SURFACES } from "@/lib/core/records.ts";
import type { SiteMakeSafe } from "@/lib/reads/make-safe-view.ts";
import { TEST_RESULTS } from "@/lib/visit/make-safe-state.ts";

const MEANS = [
  "telephone",
  MAKE_SAFE_FIELDS.messageThatWasAnswered,
  MAKE_SAFE_FIELDS.inPerson,
  MAKE_SAFE_FIELDS.letterOnSite,
];

export function OwnerFields({ view }: { view: SiteMakeSafe }) {
  return (
    <>
      <label>
        {MAKE_SAFE_FIELDS.whoWasTold}
        <input name="whom" defaultValue={view.contact.name ?? ""} />
      </label>
      <Pick name="means" label={MAKE_SAFE_FIELDS.byWhatMeans} values={MEANS} />
      <Tick name="keepOff" label={MAKE_SAFE_FIELDS.toKeepPeopleOff} />
      <Tick name="noReset" label={MAKE_SAFE_FIELDS.notToResetAnything} />
    </>
  );
}

export function IsolateFields() {
  return (
    <>
      <p>{MAKE_SAFE_FIELDS.stopTheInverterOpen}</p>
      <label>
        {MAKE_SAFE_FIELDS.numberOfTheLock}
        <input name="lock" />
      </label>
      <label>
        {MAKE_SAFE_FIELDS.photoOfTheLock}
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
          {MAKE_SAFE_FIELDS.aRepairThatIs}
          <select name="onRecord" defaultValue="">
            <option value="">{MAKE_SAFE_FIELDS.noneOfTheseAs}</option>
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
      <Pick name="cause" label={MAKE_SAFE_FIELDS.causeThatWasRepaired} values={CAUSES} />
      <Pick
        name="sectionId"
        label={MAKE_SAFE_FIELDS.section}
        values={view.sectionIds}
        none={MAKE_SAFE_FIELDS.theSiteAsA}
      />
      <Pick
        name="inverterId"
        label={MAKE_SAFE_FIELDS.inverter}
        values={view.inverterIds}
        none={MAKE_SAFE_FIELDS.noneNamed}
      />
      <label>
        {MAKE_SAFE_FIELDS.whatWasDone}
        <textarea name="action" rows={2} />
      </label>
      <Tick name="confirmed" label={MAKE_SAFE_FIELDS.theCauseWasFound} />
    </>
  );
}

export function TestFields() {
  return (
    <>
      <p>{MAKE_SAFE_FIELDS.withTheSystemStill}</p>
      <Pick
        name="continuity"
        label={MAKE_SAFE_FIELDS.continuity}
        values={TEST_RESULTS}
        none={MAKE_SAFE_FIELDS.notSaid}
      />
      <Pick
        name="insulation"
        label={MAKE_SAFE_FIELDS.insulation}
        values={TEST_RESULTS}
        none={MAKE_SAFE_FIELDS.notSaid}
      />
      <Pick name="surface" label={MAKE_SAFE_FIELDS.surface} values={SURFACES} />
      <label>
        {MAKE_SAFE_FIELDS.readingsWithUnits}
        <textarea name="readings" rows={2} />
      </label>
    </>
  );
}

export function AuthoriseFields({ view }: { view: SiteMakeSafe }) {
  return (
    <>
      {[...view.stops.map((stop) => MAKE_SAFE_FIELDS.aStopStands(stop)), ...view.findings].map((says) => (
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
      <p>{MAKE_SAFE_FIELDS.onlyWhereTheAlert}</p>
      <label>
        {MAKE_SAFE_FIELDS.why}
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
        {MAKE_SAFE_FIELDS.licence}
        <input name="licence" />
      </label>
      <Tick name="qualified" label={MAKE_SAFE_FIELDS.iAmAQualified} />
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
        <option value="">{none ?? MAKE_SAFE_FIELDS.choose}</option>
        {values.map((value) => (
          <option key={value} value={value}>
            {words(value)}
          </option>
        ))}
      </select>
    </label>
  );
}
