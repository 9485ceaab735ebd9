// Who is answered now, who waits, and who is told to come back. Plain Node, because it runs outside the bundle; the clock is
// given to it.

/** Told to come back after so many seconds at least, and up to so many more: those turned away at once do not return at once. */
const RETRY_LEAST_S = 2;
const RETRY_SPREAD_S = 6;
/** Weight of the newest answer in the mean time of one. */
const NEWEST = 0.1;

const CLOCK = {
  now: () => performance.now(),
  after: (ms, run) => {
    const timer = setTimeout(run, ms);
    timer.unref();
    return () => clearTimeout(timer);
  },
};

/**
 * Lets so many requests be answered at once, in their order; the others wait, but never longer than a stated time. One that
 * would, by how long answers take just now, is turned away at once rather than after waiting for nothing.
 * @param {{ atOnce: number, longestWaitMs: number, mostHeldMs: number, clock?: typeof CLOCK, random?: () => number }} options
 *   mostHeldMs: after this the place goes to the next although the answer goes on, so that slow downloads hold up nobody
 */
export class Admission {
  #options;
  #clock;
  #random;
  #waiting = [];
  #running = 0;
  /** How long one holds a place, ms; what it begins with matters for the first few only. */
  #meanMs = 100;

  constructor({ clock = CLOCK, random = Math.random, ...options }) {
    this.#options = options;
    this.#clock = clock;
    this.#random = random;
  }

  get waiting() {
    return this.#waiting.length;
  }

  get running() {
    return this.#running;
  }

  /** How long one that comes now would wait, by what is known, ms. */
  get expectedWaitMs() {
    const { atOnce } = this.#options;
    return this.#running < atOnce ? 0 : ((this.#waiting.length + 1) * this.#meanMs) / atOnce;
  }

  /**
   * Ask to be answered.
   * @param {{ start: (waitedMs: number) => void, refuse: (retryAfterS: number) => void }} request one of the two is called,
   *   once, now or later
   * @returns {() => void} to be called when it was answered or has gone away, whichever it was
   */
  enter(request) {
    const entry = { ...request, since: this.#clock.now(), state: "waiting", cancel: () => {} };
    if (this.expectedWaitMs > this.#options.longestWaitMs) {
      entry.state = "over";
      entry.refuse(this.retryAfterS());
      return () => {};
    }
    this.#waiting.push(entry);
    entry.cancel = this.#clock.after(this.#options.longestWaitMs, () => this.#giveUp(entry));
    this.#next();
    return () => this.#leave(entry);
  }

  /** Seconds after which one that was turned away may come again, spread out. */
  retryAfterS() {
    return RETRY_LEAST_S + Math.floor(this.#random() * (RETRY_SPREAD_S + 1));
  }

  #next() {
    while (this.#running < this.#options.atOnce && this.#waiting.length > 0) {
      const entry = this.#waiting.shift();
      entry.cancel();
      const waitedMs = this.#clock.now() - entry.since;
      this.#running++;
      entry.state = "running";
      entry.since = this.#clock.now();
      entry.cancel = this.#clock.after(this.#options.mostHeldMs, () => this.#release(entry));
      entry.start(waitedMs);
    }
  }

  #giveUp(entry) {
    if (entry.state !== "waiting") return;
    this.#waiting.splice(this.#waiting.indexOf(entry), 1);
    entry.state = "over";
    entry.refuse(this.retryAfterS());
  }

  #release(entry) {
    if (entry.state !== "running") return;
    entry.state = "over";
    entry.cancel();
    this.#running--;
    this.#meanMs += NEWEST * (this.#clock.now() - entry.since - this.#meanMs);
    this.#next();
  }

  #leave(entry) {
    if (entry.state === "waiting") {
      entry.state = "over";
      entry.cancel();
      this.#waiting.splice(this.#waiting.indexOf(entry), 1);
    } else this.#release(entry);
  }
}
