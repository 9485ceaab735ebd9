"use client";

import type { DragEvent, KeyboardEvent } from "react";
import { distanceText } from "@/app/_ui/format.ts";
import { leftAt, wideBy } from "@/app/_ui/placed.ts";
import { useUnits } from "@/app/_ui/units.tsx";
import { URGENCY_WORDS } from "@/app/_ui/urgency.tsx";
import { CREW_STRIP } from "@/app/_words/plan.ts";
import type { BoardDay, BoardStop, MoveOptionView } from "@/lib/reads/plan-board-view.ts";
import { consequenceText } from "./consequence-line.tsx";

const HOURS = [6, 8, 10, 12, 14, 16, 18, 20];
const FIRST = 5 * 60;
const LAST = 21 * 60;

const place = (minute: number) => (100 * (Math.min(LAST, Math.max(FIRST, minute)) - FIRST)) / (LAST - FIRST);
const span = (from: number, to: number) => `${leftAt(place(from))} ${wideBy(place(to) - place(from))}`;

export interface StripActions {
  selected: string | null;
  /** The visit that is being dragged, and where it could go. */
  dragged: string | null;
  options: MoveOptionView[];
  currency: string;
  fixed: boolean;
  onSelect: (visitId: string) => void;
  onDrag: (visitId: string | null) => void;
  onDrop: (option: MoveOptionView) => void;
}

/** A crew's day along its clock: daylight, weather that keeps people off a roof, the shift, the road and the stops on it. */
export function CrewStrip({ day, actions }: { day: BoardDay; actions: StripActions }) {
  const units = useUnits();
  const option = actions.dragged
    ? (actions.options.find((o) => o.crewId === day.crewId && o.day === day.day && !o.sameDay) ?? null)
    : null;
  const allow = (event: DragEvent) => {
    if (option && option.broken.length === 0) event.preventDefault();
  };
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: the same is done from the keyboard by each stop's own button
    <div
      className={`crew-strip${option ? (option.broken.length > 0 ? " no-drop" : " can-drop") : ""}`}
      onDragOver={allow}
      onDrop={(event) => {
        event.preventDefault();
        if (option) actions.onDrop(option);
      }}
    >
      {day.light ? <span className={`light ${span(day.light.from, day.light.to)}`} /> : null}
      {day.bands.map((band) => (
        <span key={band.from} className={`band ${span(band.from, band.to)}`} title={CREW_STRIP.forecast(band.why)}>
          {band.why}
        </span>
      ))}
      {HOURS.map((hour) => (
        <span key={hour} className={`hour ${leftAt(place(hour * 60))}`}>
          {hour}
        </span>
      ))}
      <span className={`shift ${span(day.shift.from, day.shift.to)}`} />
      {day.stops.map((stop) => (
        <span key={`d${stop.visitId}`} className={`road ${span(stop.driveFrom, stop.driveTo)}`} />
      ))}
      {day.homeFrom !== null && day.homeTo !== null ? (
        <span className={`road ${span(day.homeFrom, day.homeTo)}`} />
      ) : null}
      {day.stops.map((stop) => (
        <StopButton
          key={stop.visitId}
          stop={stop}
          actions={actions}
          className={`on-strip ${span(stop.from, stop.to)}`}
        />
      ))}
      {option ? (
        <span className="drop-says" role="status">
          {option.broken.length > 0
            ? CREW_STRIP.notPossible(option.broken[0])
            : consequenceText(option, actions.currency, units)}
        </span>
      ) : null}
    </div>
  );
}

const marks = (stop: BoardStop) =>
  [
    stop.urgency === "make_safe" ? CREW_STRIP.makeSafe : null,
    stop.promised ? "promised" : null,
    stop.pinnedBy ? "pinned" : null,
    stop.frozen ? CREW_STRIP.doneOrUnderWay : null,
  ].filter((mark) => mark !== null);

/** One stop, for the strip and for the list: opens where it could go; arrow keys go to its neighbours. */
export function StopButton({
  stop,
  actions,
  className,
}: {
  stop: BoardStop;
  actions: StripActions;
  className: string;
}) {
  const units = useUnits();
  const said = marks(stop);
  const others = said.filter((mark) => mark !== "make safe");
  return (
    <button
      type="button"
      className={`stop ${className} ${stop.urgency}`}
      data-stop={stop.visitId}
      aria-pressed={actions.selected === stop.visitId}
      aria-label={CREW_STRIP.toDrive(
        stop.siteName,
        stop.start,
        stop.depart,
        URGENCY_WORDS[stop.urgency].toLowerCase(),
        distanceText(stop.driveKm, units),
        others.length > 0 ? `, ${others.join(", ")}` : "",
      )}
      draggable={!actions.fixed && !stop.frozen && className === "on-strip"}
      onDragStart={(event) => {
        event.dataTransfer.setData("text/plain", stop.visitId);
        event.dataTransfer.effectAllowed = "move";
        actions.onDrag(stop.visitId);
      }}
      onDragEnd={() => actions.onDrag(null)}
      onClick={() => actions.onSelect(stop.visitId)}
      onKeyDown={neighbour}
    >
      <span className="name">{stop.siteName}</span>
      <span className="when">
        {CREW_STRIP.to(stop.start, stop.depart, said.length > 0 ? ` · ${said.join(", ")}` : "")}
      </span>
    </button>
  );
}

/** Left and right along a day, up and down between days. */
function neighbour(event: KeyboardEvent<HTMLButtonElement>): void {
  const step = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -1, ArrowDown: 1 }[event.key];
  if (step === undefined) return;
  event.preventDefault();
  const here = event.currentTarget;
  const own = here.closest(".crew-day");
  const shown = (root: ParentNode) =>
    [...root.querySelectorAll<HTMLElement>("[data-stop]")].filter((each) => each.offsetParent !== null);
  if (event.key === "ArrowLeft" || event.key === "ArrowRight") {
    const along = own ? shown(own) : [];
    along[along.indexOf(here) + step]?.focus();
    return;
  }
  const days = [...document.querySelectorAll(".crew-day")];
  for (let at = days.indexOf(own as Element) + step; at >= 0 && at < days.length; at += step) {
    const left = here.getBoundingClientRect().left;
    const near = shown(days[at] as Element).sort(
      (a, b) => Math.abs(a.getBoundingClientRect().left - left) - Math.abs(b.getBoundingClientRect().left - left),
    )[0];
    if (near) {
      near.focus();
      return;
    }
  }
}
