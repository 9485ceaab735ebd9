/** One alert as the screen shows it. */
export interface AlertLine {
  kind: string;
  subject: string;
  siteId: string;
  siteName: string;
  visitId: string | null;
  says: string;
  raisedAt: string;
  acknowledgedBy: string | null;
  acknowledgedAt: string | null;
}

export interface AlertsView {
  /** Those that nobody has first; then the newest. */
  alerts: AlertLine[];
  /** How many nobody has, also beyond those listed. */
  waiting: number;
  duty: { name: string; phone: string }[];
}
