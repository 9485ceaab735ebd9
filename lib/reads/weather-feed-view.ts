/** How the installation stands with its weather service, as the panel shows it. */
export interface WeatherFeedView {
  state: "off" | "wrong" | "on";
  /** What to do when it is off or wrong. */
  says: string | null;
  /** Host of the service. */
  service: string | null;
  run: {
    status: "waiting" | "running" | "done" | "cancelled" | "failed";
    requestedAt: string;
    requestedBy: string;
    stationsDone: number;
    stationsTotal: number;
    requests: number;
    hoursChanged: number;
    says: string | null;
    quietUntil: string | null;
  } | null;
  stations: {
    stationId: string;
    name: string | null;
    /** End of the newest hour that the service reported. */
    lastHour: string | null;
    askedAt: string | null;
    error: string | null;
  }[];
  now: string;
}
