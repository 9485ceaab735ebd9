"use client";

import { useCallback, useState } from "react";
import { barsOption } from "@/app/_ui/chart/bars-option.ts";
import { ChartFrame } from "@/app/_ui/chart/chart-frame.tsx";
import type { Tokens } from "@/app/_ui/chart/tokens.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { IfMay } from "@/app/_ui/role.tsx";
import { Trouble } from "@/app/_ui/said.tsx";
import { When } from "@/app/_ui/when.tsx";
import { CLOCK_PANEL } from "@/app/_words/site-weather.ts";
import type { ClockView } from "@/lib/reads/weather-picture-view.ts";

const hoursAhead = (h: number) =>
  h === 0 ? CLOCK_PANEL.rightInWinter : `${Math.abs(h)} h ${h > 0 ? "ahead" : "behind"}`;

function readingText({ offsetHours, summerHours }: { offsetHours: number; summerHours: number }): string {
  if (summerHours === 0) return CLOCK_PANEL.allYear(hoursAhead(offsetHours));
  const more = CLOCK_PANEL.hFurtherInSummer(Math.abs(summerHours), summerHours > 0 ? "ahead" : "behind");
  return `${hoursAhead(offsetHours)}, ${more}`;
}

/** Never certain: the readings compared are not all that can be wrong with a clock. */
const MOST_DECIBANS = 40;
function evidenceFor(p: number): string {
  const by = 10 * Math.log10(p / (1 - p));
  return by > MOST_DECIBANS ? CLOCK_PANEL.moreThanDecibans(MOST_DECIBANS) : CLOCK_PANEL.decibans(by.toFixed(1));
}

function sentence(clock: ClockView): string {
  const base = CLOCK_PANEL.onsetsOfAndOf(clock.onsets, clock.name);
  if (clock.proposal)
    return CLOCK_PANEL.theySayThatThe(
      base,
      readingText(clock.proposal),
      evidenceFor(clock.probability),
      clock.darkAsLogged,
      clock.darkAsRead,
    );
  return CLOCK_PANEL.nothingSpeaksClearlyFor(base, evidenceFor(clock.right), clock.darkAsLogged);
}

/** How the clock of one log source is read, and the decision on a correction: a person's, never the program's. */
export function ClockPanel({ clock, onDecided }: { clock: ClockView; onDecided: () => void }) {
  return (
    <section
      className="panel"
      aria-label={CLOCK_PANEL.clockOf(clock.name)}
      data-clock={clock.proposal ? "proposal" : "quiet"}
    >
      <h3 className="first">{CLOCK_PANEL.clockOf(clock.name)}</h3>
      <p>{sentence(clock)}</p>
      {clock.corrected ? (
        <>
          <p className="note">
            {CLOCK_PANEL.timesAreAlreadyCorrected(readingText(clock.corrected), clock.corrected.by)}{" "}
            <When at={clock.corrected.at} />: {clock.corrected.reason}
          </p>
          <IfMay operation="clock.write">
            <Decision
              label={CLOCK_PANEL.withdrawTheCorrection}
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
              label={CLOCK_PANEL.acceptTheClockIs(readingText(clock.proposal))}
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
          xName: CLOCK_PANEL.hourOfTheSolar,
          yName: CLOCK_PANEL.onsetsAtThisSite,
          series: [
            { name: CLOCK_PANEL.asTheTimesStand, values: clock.before, token: "soft" },
            { name: CLOCK_PANEL.ifCorrected, values: clock.after ?? [], token: "water" },
          ],
        },
        tokens,
      ),
    [clock],
  );
  return (
    <ChartFrame
      name="clock"
      title={CLOCK_PANEL.onsetsByHourOf(clock.name)}
      says={CLOCK_PANEL.onsetsByHourOfThe}
      build={build}
      table={{
        head: [CLOCK_PANEL.solarHour, CLOCK_PANEL.asTheTimesStand2, CLOCK_PANEL.ifCorrected2],
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
        {CLOCK_PANEL.reasonForTheRecord}
        <input value={reason} onChange={(e) => setReason(e.target.value)} required maxLength={1000} />
      </label>
      <button type="submit" className="button main" disabled={state !== "idle" || reason.trim() === ""}>
        {label}
      </button>
      <p role="status" className="soft">
        {state === "busy" ? CLOCK_PANEL.storing : state === "done" ? CLOCK_PANEL.storedEverySiteOf : ""}
      </p>
      <Trouble says={trouble} />
    </form>
  );
}
