/** What is stored of driving times, and what plans of the queue as it stands lack. */
export interface TravelTimesView {
  /** Ways of one's own, and ways that a routing server gave. */
  own: number;
  asked: number;
  /** A routing server is set up for this installation. */
  service: boolean;
  /** Places that a plan of the queue drives between now, and the ways between them. */
  places: number;
  ways: number;
  /** Ways of these that nobody gave: there the great circle is taken. */
  lacking: number;
  /** Some of them, in words. */
  examples: string[];
}
