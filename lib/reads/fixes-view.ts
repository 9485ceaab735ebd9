type Counts = { wetHours: number; wetEpisodes: number; dryHours: number; dryEpisodes: number };

/** A repair under watch, as pages show it. */
export interface FixLine {
  siteId: string;
  siteName: string;
  /** Instant of the repair, which names it together with the cause. */
  repairedAt: number;
  day: string;
  cause: string;
  /** Section or inverter, where recorded. */
  place: string | null;
  action: string | null;
  state: "held" | "trips_go_on" | "no_recurrence_seen" | "too_early";
  reopened: boolean;
  stillThere: { p: number; low: number; high: number };
  before: Counts;
  after: Counts;
  wetHoursToGo: number | null;
  expectedBy: string | null;
  expectedFrom: "station" | "log" | null;
  missing: string[];
  detectorUnchanged: boolean | null;
  says: string;
}

export const FIXES_PAGE = 50;

/** A page of the repairs that are not known to have held. */
export interface OpenFixesView {
  fixes: FixLine[];
  total: number;
  page: number;
}
