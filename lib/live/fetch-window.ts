import { HOUR_MS } from "../core/weather-series.ts";
import type { Met } from "../weather/formats/hour-fold.ts";
import { observationHours } from "./observation-hours.ts";
import type { ObservationWindow } from "./observation-windows.ts";
import type { PoliteClient, Validators } from "./polite-client.ts";
import type { ObservationSource, StationReport } from "./provider.ts";

export type WindowAnswer =
  | { kind: "unchanged" | "absent" }
  | {
      kind: "hours";
      /** Rows of weather.csv by time. */
      rows: string[][];
      /** null: the answer was put together from several. */
      validators: Validators | null;
    };

export interface StationAsked {
  stationId: string;
  /** The service's name of it. */
  key: string;
}

/**
 * The hours of a window as a service reports them. Where an answer may have been cut at the service's limit the window
 * is asked for in halves, so nothing is lost behind the cut.
 * @throws FeedError
 */
export async function fetchWindow(
  client: PoliteClient,
  source: ObservationSource,
  { stationId, key }: StationAsked,
  window: ObservationWindow,
): Promise<WindowAnswer> {
  const met: Met = new Map();
  const ask = async (from: number, to: number, validators: Validators): Promise<WholeAnswer> => {
    const answer = await source.observations(client, {
      stationId,
      key,
      from: from * HOUR_MS,
      to: to * HOUR_MS,
      validators,
      met,
    });
    if (answer.kind !== "reports") return { kind: answer.kind };
    if (!answer.full || to - from <= 1)
      return { kind: "reports", reports: answer.reports, validators: answer.validators };
    const middle = Math.floor((from + to) / 2);
    const halves = [await ask(from, middle, {}), await ask(middle, to, {})];
    return {
      kind: "reports",
      reports: halves.flatMap((half) => (half.kind === "reports" ? half.reports : [])),
      validators: null,
    };
  };
  const whole = await ask(window.from, window.to, window.validators);
  if (whole.kind !== "reports") return { kind: whole.kind };
  return { kind: "hours", rows: observationHours(whole.reports, window, met), validators: whole.validators };
}

type WholeAnswer =
  | { kind: "unchanged" | "absent" }
  | { kind: "reports"; reports: StationReport[]; validators: Validators | null };
