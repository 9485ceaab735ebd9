/** One term of what a visit is worth. */
export interface WorthTerm {
  term: string;
  amount: number;
  /** A currency, or what is counted. */
  unit: string;
  /** Whether it is part of the sum, or only shown to explain it. */
  counted: boolean;
  says: string;
  /** What it comes to at both ends of the probabilities' bands. */
  band?: { low: number; high: number } | undefined;
}

/** What a visit of a site is worth, term by term. */
export interface WorthView {
  siteId: string;
  queued: boolean;
  currency: string;
  terms: WorthTerm[];
  /** Of a site on watch: what would make a visit worth its trip. */
  wouldChange: string | null;
}
