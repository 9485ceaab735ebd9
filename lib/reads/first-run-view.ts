/** One step on the way to a first ranking. */
export interface FirstStep {
  key: "sites" | "weather" | "faults" | "inspections" | "ranking";
  done: boolean;
  /** What there is by now, in a sentence. */
  says: string;
}

export interface FirstRunView {
  sites: number;
  steps: FirstStep[];
  /** The first step that is not done; null: all are. */
  next: FirstStep["key"] | null;
  demo: {
    /** Sites that the demo brought. */
    sites: number;
    /** Its import while it runs, 0 to 1. */
    loading: number | null;
    /** It came with a release that did not mark what came with it. */
    unmarked: boolean;
  };
}
