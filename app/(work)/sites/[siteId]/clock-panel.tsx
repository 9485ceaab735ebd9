"use client";

import { useCallback, useState } from "react";
import { barsOption } from "@/app/_ui/chart/bars-option.ts";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { IfMay } from "@/app/_ui/role.tsx";
import { Trouble } from "@/app/_ui/said.tsx";
import { When } from "@/app/_ui/when.tsx";
import type { ClockView } from "@/lib/reads/weather-picture-view.ts";

const hoursAhead = (h: number) => (h === 0 ? "right in winter" : `${Math.abs(h)} h ${h > 0 ? "ahead" : "behind"}`);

function readingText({ offsetHours, summerHours }: { offsetHours: number; summerHours: number }): string {
  if (summerHours === 0) return `${hoursAhead(offsetHours)} all year`;
  const more = `${Math.abs(summerHours)} h further ${summerHours > 0 ? "ahead" : "behind"} in summer time`;
  return `${hoursAhead(offsetHours)}, ${more}`;
}

/** Never certain: the readings compared are not all that can be wrong with a clock. */
const MOST_DECIBANS = 40;
function evidenceFor(p: number): string {
  const by = 10 * Math.log10(p / (1 - p));
  return by > MOST_DECIBANS ? `more than ${MOST_DECIBANS} decibans` : `${by.toFixed(1)} decibans`;
}

function sentence(clock: ClockView): string {
  const base = `${clock.onsets} onsets of ${clock.name} and of the sites that share it were held against sun and water.`;
  if (clock.proposal)
    return `${base} They say that the clock is ${readingText(clock.proposal)} (by ${evidenceFor(clock.probability)} against all other readings): ${clock.darkAsLogged} onsets lie in the dark as the times stand, ${clock.darkAsRead} would.`;
  return `${base} Nothing speaks clearly for a wrong clock; the onsets give ${evidenceFor(clock.right)} for a right one, ${clock.darkAsLogged} onsets in the dark.`;
}

/** How the clock of one log source is read, and the decision on a correction: a person's, never the program's. */
export function ClockPanel({ clock, onDecided }: { clock: ClockView; onDecided: () => void }) {
  return (
    <section className="panel" aria-label={`Clock of ${clock.name}`} data-clock={clock.proposal ? "proposal" : "quiet"}>
      <h3 className="first">Clock of {clock.name}</h3>
      <p>{sentence(clock)}</p>
      {clock.corrected ? (
        <>
          <p className="note">
            Times are already corrected for a clock {readingText(clock.corrected)}, accepted by {clock.corrected.by} on{" "}
            <When at={clock.corrected.at} />: {clock.corrected.reason}
          </p>
          <IfMay operation="clock.write">
            <Decision
              label="Withdraw the correction"
              url="/api/pages/clocks/withdraw"
              body={{ source: clock.source }}
              onDecided={onDecided}
            />
          </IfMay>
        </>
      ) : null}
      {clock.proposal ? (
        <>
          <BeforeAfter clock={clock} />
          <IfMay operation="clock.write">
            <Decision
              label={`Accept: the clock is ${readingText(clock.proposal)}`}
              url="/api/pages/clocks"
              body={{ source: clock.source, ...clock.proposal }}
              onDecided={onDecided}
            />
          </IfMay>
        </>
      ) : null}
    </section>
  );
}

function BeforeAfter({ clock }: { clock: ClockView }) {
  const hours = clock.before.map((_, h) => String(h));
  const build = useCallback(
    (tokens: Tokens) =>
      barsOption(
        {
          categories: clock.before.map((_, h) => String(h)),
          xName: "hour of the solar day (noon is 12)",
          yName: "onsets at this site",
          series: [
            { name: "as the times stand", values: clock.before, token: "soft" },
            { name: "if corrected", values: clock.after ?? [], token: "water" },
          ],
        },
        tokens,
      ),
    [clock],
  );
  return (
    <ChartFrame
      name="clock"
      title={`Onsets by hour of the solar day, clock of ${clock.name}`}
      says="Onsets by hour of the solar day, before and after the correction: an array cannot drive a fault in the dark, so a right clock leaves the night empty."
      build={build}
      table={{
        head: ["Solar hour", "As the times stand", "If corrected"],
        rows: hours.map((h, k) => [h, String(clock.before[k]), String(clock.after?.[k] ?? 0)]),
      }}
    />
  );
}

interface DecisionProps {
  label: string;
  url: string;
  body: Record<string, unknown>;
  onDecided: () => void;
}

function Decision({ label, url, body, onDecided }: DecisionProps) {
  const [reason, setReason] = useState("");
  const [state, setState] = useState<"idle" | "busy" | "done">("idle");
  const [trouble, setTrouble] = useState<string | null>(null);
  const send = async () => {
    setState("busy");
    setTrouble(null);
    try {
      await postJson(url, { ...body, reason });
      setState("done");
      onDecided();
    } catch (error) {
      setState("idle");
      setTrouble((error as Error).message);
    }
  };
  return (
    <form
      className="filters no-print"
      onSubmit={(e) => {
        e.preventDefault();
        send();
      }}
    >
      <label className="field">
        Reason, for the record
        <input value={reason} onChange={(e) => setReason(e.target.value)} required maxLength={1000} />
      </label>
      <button type="submit" className="button main" disabled={state !== "idle" || reason.trim() === ""}>
        {label}
      </button>
      <p role="status" className="soft">
        {state === "busy" ? "Storing …" : state === "done" ? "Stored. Every site of this log is scored anew." : ""}
      </p>
      <Trouble says={trouble} />
    </form>
  );
}
