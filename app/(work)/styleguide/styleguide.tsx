"use client";

import { useState } from "react";
import { Dialog } from "@/app/_ui/dialog.tsx";
import { OneOf, Stacked, TextField } from "@/app/_ui/field.tsx";
import { FixState } from "@/app/_ui/fix-state.tsx";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Probability } from "@/app/_ui/probability.tsx";
import { Empty, Note, Said, Trouble, Waiting } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { Term } from "@/app/_ui/term.tsx";
import { useSay } from "@/app/_ui/toast.tsx";
import { Distance, Film, Rain } from "@/app/_ui/units.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { When } from "@/app/_ui/when.tsx";
import { SampleCharts } from "./sample-charts.tsx";

const TOKENS = [
  ...["surface", "raised", "sunken", "line", "ink", "ink-soft", "link", "focus"],
  ...["water", "dew", "fault", "for", "against", "danger", "warning", "caution"],
];
const ROWS = [
  { name: "Mill Lane", p: { p: 0.82, low: 0.64, high: 0.93 }, hours: 1234 },
  { name: "Depot roof", p: { p: 0.07, low: 0.02, high: 0.2 }, hours: 98 },
];

/** Every token and component with its states, to be looked at in both schemes, at both widths and by keyboard. */
export function Styleguide() {
  return (
    <>
      <h1>Styleguide</h1>
      <p className="soft">
        Tokens and shared components. A page uses these and has no one-off; what is missing is added here first.
      </p>
      <Tokens />
      <TypeScale />
      <Statuses />
      <Tables />
      <Forms />
      <Messages />
      <h2>Charts</h2>
      <SampleCharts />
    </>
  );
}

function Tokens() {
  return (
    <>
      <h2>Tokens</h2>
      <ul className="swatches">
        {TOKENS.map((token) => (
          <li key={token}>
            <span className={`swatch of-token-${token}`} />
            <code>--{token}</code>
          </li>
        ))}
      </ul>
      <p className="soft">
        Colour is spent on meaning: safety colours for urgency, one blue for water, one ink for faults. Nothing is told
        by colour alone.
      </p>
    </>
  );
}

function TypeScale() {
  return (
    <>
      <h2>Type</h2>
      <p className="big">26 px: the one number of a panel</p>
      <h1>22 px: heading of a page</h1>
      <h2>16 px: heading of a part</h2>
      <h3>14 px, bold: heading inside a part</h3>
      <p>14 px: text, at most 75 characters a line.</p>
      <p className="soft">14 px, soft: what explains the text above it.</p>
      <p className="hint">13 px: hint under a field.</p>
    </>
  );
}

function Statuses() {
  return (
    <>
      <h2>Statuses and figures</h2>
      <p className="buttons">
        <Urgency value="make_safe" /> <Urgency value="urgent" /> <Urgency value="planned" /> <Urgency value="watch" />{" "}
        <Isolated since="2026-11-01T14:00:00Z" />
      </p>
      <p>
        <FixState fix={{ state: "held", reopened: false }} /> ·{" "}
        <FixState fix={{ state: "trips_go_on", reopened: false }} /> ·{" "}
        <FixState fix={{ state: "too_early", reopened: true }} />
      </p>
      <Probability value={{ p: 0.82, low: 0.64, high: 0.93 }} />
      <p>
        <Distance km={42.2} />, <Rain mm={12.7} />, <Film mm={0.05} />, <When at="2026-11-01T14:00:00Z" />,{" "}
        <Term id="deciban">decibans</Term>
      </p>
    </>
  );
}

function Tables() {
  return (
    <>
      <h2>Table</h2>
      <Table
        label="Sample of a table"
        columns={[
          { name: "Site", head: true, cell: (r) => r.name },
          { name: "Bonding defect", cell: (r) => <Probability value={r.p} /> },
          { name: "Unit-hours", num: true, cell: (r) => r.hours.toLocaleString("en-US") },
        ]}
        rows={ROWS}
        keyOf={(r) => r.name}
        foot={["Sum", "", "1,332"]}
      />
      <h3>Ranked: cards on a phone</h3>
      <Table
        label="Sample of a ranked table"
        className="ranked"
        columns={[
          { name: "Site", className: "site", cell: (r) => r.name },
          { name: "Unit-hours", num: true, label: "Unit-hours", cell: (r) => r.hours.toLocaleString("en-US") },
        ]}
        rows={ROWS}
        keyOf={(r) => r.name}
      />
      <h3>Empty</h3>
      <Empty>No visit is queued. That is no clearance.</Empty>
    </>
  );
}

function Forms() {
  const [name, setName] = useState("");
  const [units, setUnits] = useState<"one" | "other">("one");
  const [sent, setSent] = useState("");
  return (
    <>
      <h2>Form</h2>
      <Stacked onSend={() => setSent(`Stored: ${name}.`)}>
        <TextField label="Name" value={name} onText={setName} required hint="As it stands on the contract." />
        <OneOf
          label="Which"
          value={units}
          options={[
            { value: "one", says: "This one" },
            { value: "other", says: "The other" },
          ]}
          onChoose={setUnits}
        />
        <p className="buttons">
          <button type="submit" className="button main">
            Store
          </button>
          <button type="button" className="button" disabled>
            Not now
          </button>
          <button type="button" className="link-button">
            As a link
          </button>
        </p>
        <Said>{sent}</Said>
      </Stacked>
    </>
  );
}

function Messages() {
  const say = useSay();
  const [isOpen, setOpen] = useState(false);
  return (
    <>
      <h2>Messages</h2>
      <Note>A remark beside the work.</Note>
      <Note kind="gap">Nobody recorded this. A gap is never a pass.</Note>
      <Trouble says="The list could not be read. Try again." />
      <Waiting label="Reading" />
      <p className="buttons">
        <button type="button" className="button" onClick={() => setOpen(true)}>
          Open a dialog
        </button>
        <button type="button" className="button" onClick={() => say("Stored. The site is scored anew.")}>
          Say something
        </button>
      </p>
      <Dialog
        isOpen={isOpen}
        title="Revoke the token?"
        onClose={() => setOpen(false)}
        actions={
          <button type="button" className="button main" onClick={() => setOpen(false)}>
            Revoke it
          </button>
        }
      >
        <p>Every program that uses it is refused from now on.</p>
      </Dialog>
    </>
  );
}
