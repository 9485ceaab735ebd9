"use client";

import Link from "next/link";
import { useEffect, useRef, useState } from "react";
import { TextField } from "@/app/_ui/field.tsx";
import { distanceText } from "@/app/_ui/format.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { useUnits } from "@/app/_ui/units.tsx";
import { Worth } from "@/app/_ui/worth.tsx";
import { MOVE_PANEL } from "@/app/_words/plan.ts";
import type { BoardStop, MoveOptionView, MovesView } from "@/lib/reads/plan-board-view.ts";
import type { PlanEdit } from "@/lib/writes/change-plan.ts";
import { ConsequenceLine } from "./consequence-line.tsx";

export interface PanelProps {
  visitId: string;
  siteId: string;
  siteName: string;
  stop: BoardStop | null;
  /** Taken out by a person. */
  takenOut: boolean;
  state: "draft" | "confirmed" | "superseded";
  moves: MovesView | undefined;
  error: Error | null;
  chosen: MoveOptionView | null;
  onChoose: (option: MoveOptionView) => void;
  onEdit: (edit: PlanEdit, reason: string) => void;
  onClose: () => void;
  busy: boolean;
}

const keyOf = (option: MoveOptionView) => `${option.crewId} ${option.day} ${option.position}`;

/** Where a visit could go: every place with what it would change, told before anything is done. */
export function MovePanel(props: PanelProps) {
  const { visitId, siteId, siteName, stop, state, moves, error, chosen, onChoose, onEdit, onClose, busy } = props;
  const units = useUnits();
  const [reason, setReason] = useState("");
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    if (visitId !== "") heading.current?.focus();
    setReason("");
  }, [visitId]);
  const possible = (moves?.options ?? []).filter((option) => option.broken.length === 0);
  const impossible = (moves?.options ?? []).filter((option) => option.broken.length > 0);
  // What costs no make-safe visit its time comes first, then what brings most.
  possible.sort(
    (a, b) =>
      Number(a.crewId === null) - Number(b.crewId === null) ||
      a.hazardsLater.length - b.hazardsLater.length ||
      b.value - a.value ||
      a.km - b.km,
  );
  const needsReason = state === "confirmed" || (chosen?.needsReason ?? false);
  const editOf = (option: MoveOptionView): PlanEdit =>
    option.crewId === null || option.day === null
      ? { kind: "take_out", visitId }
      : { kind: "move", visitId, crewId: option.crewId, day: option.day, position: option.position };
  return (
    <section
      className="panel move-panel"
      aria-label={MOVE_PANEL.move(siteName)}
      onKeyDown={(event) => {
        if (event.key === "Escape") onClose();
      }}
    >
      <h2 ref={heading} tabIndex={-1}>
        {siteName}
      </h2>
      <p className="soft">
        {stop ? MOVE_PANEL.toDrive(stop.start, stop.depart, distanceText(stop.driveKm, units)) : MOVE_PANEL.notPlanned}
        <Link href={`/visits/${encodeURIComponent(visitId)}`}>{MOVE_PANEL.theVisit}</Link>
      </p>
      <Worth key={siteId} siteId={siteId} siteName={siteName} />
      <p className="buttons">
        {stop && state === "draft" && !stop.frozen ? (
          <button
            type="button"
            className="button"
            disabled={busy}
            onClick={() => onEdit({ kind: stop.pinnedBy ? "unpin" : "pin", visitId }, "")}
          >
            {stop.pinnedBy ? MOVE_PANEL.takeThePinOff : MOVE_PANEL.pinToThisCrew}
          </button>
        ) : null}
        {props.takenOut && state === "draft" ? (
          <button
            type="button"
            className="button"
            disabled={busy}
            onClick={() => onEdit({ kind: "put_back", visitId }, "")}
          >
            {MOVE_PANEL.letItBePlanned}
          </button>
        ) : null}
        <button type="button" className="button" onClick={onClose}>
          {MOVE_PANEL.close}
        </button>
      </p>
      <Trouble says={error?.message} />
      {state === "superseded" || stop?.frozen ? null : moves ? (
        <form
          onSubmit={(event) => {
            event.preventDefault();
            if (chosen) onEdit(editOf(chosen), reason);
          }}
        >
          <fieldset className="plain options">
            <legend>{MOVE_PANEL.whereItCouldGo}</legend>
            {possible.map((option) => (
              <Option
                key={keyOf(option)}
                option={option}
                currency={moves.currency}
                chosen={chosen}
                onChoose={onChoose}
              />
            ))}
            {possible.length === 0 ? <p className="soft">{MOVE_PANEL.itCanGoNowhere}</p> : null}
            {impossible.length > 0 ? (
              <details>
                <summary>{MOVE_PANEL.notPossibleAndWhy(impossible.length)}</summary>
                {impossible.map((option) => (
                  <Option
                    key={keyOf(option)}
                    option={option}
                    currency={moves.currency}
                    chosen={chosen}
                    onChoose={onChoose}
                  />
                ))}
              </details>
            ) : null}
          </fieldset>
          {needsReason ? (
            <TextField label={MOVE_PANEL.whyKeptWithThe} value={reason} maxLength={1000} onText={setReason} required />
          ) : null}
          <p>
            <button type="submit" className="button main" disabled={!chosen || busy}>
              {chosen?.crewId === null ? MOVE_PANEL.takeItOut : MOVE_PANEL.moveIt}
            </button>
          </p>
        </form>
      ) : (
        <p className="soft" role="status">
          {MOVE_PANEL.workingOutWhereIt}
        </p>
      )}
    </section>
  );
}

function Option({
  option,
  currency,
  chosen,
  onChoose,
}: {
  option: MoveOptionView;
  currency: string;
  chosen: MoveOptionView | null;
  onChoose: (option: MoveOptionView) => void;
}) {
  return (
    <label className="option">
      <input
        type="radio"
        name="place"
        disabled={option.broken.length > 0}
        checked={chosen !== null && keyOf(chosen) === keyOf(option)}
        onChange={() => onChoose(option)}
      />
      <span>
        <strong>{option.says}</strong>
        <br />
        <ConsequenceLine option={option} currency={currency} />
      </span>
    </label>
  );
}
