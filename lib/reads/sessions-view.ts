/** A place where somebody is signed in. Times are ISO 8601. */
export interface SessionLine {
  id: string;
  since: string;
  until: string;
  from: string;
  browser: string;
  /** The session that asks. */
  isThis: boolean;
}
