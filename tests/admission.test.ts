import { describe, expect, test } from "vitest";
import { Admission } from "../lib/cli/admission.mjs";
import { seededRng } from "../lib/core/random.ts";

/** A clock that stands until it is moved; what is due then runs in its order. */
class FakeClock {
  #now = 0;
  #due: { at: number; run: () => void }[] = [];

  now = () => this.#now;

  after = (ms: number, run: () => void) => {
    const one = { at: this.#now + ms, run };
    this.#due.push(one);
    return () => {
      this.#due = this.#due.filter((other) => other !== one);
    };
  };

  move(ms: number): void {
    const end = this.#now + ms;
    for (;;) {
      const next = this.#due.filter(({ at }) => at <= end).sort((a, b) => a.at - b.at)[0];
      if (!next) break;
      this.#due = this.#due.filter((other) => other !== next);
      this.#now = next.at;
      next.run();
    }
    this.#now = end;
  }
}

const OPTIONS = { atOnce: 2, longestWaitMs: 4000, mostHeldMs: 5000 };

function door(over: Partial<typeof OPTIONS> = {}, random = () => 0.5) {
  const clock = new FakeClock();
  const admission = new Admission({ ...OPTIONS, ...over, clock, random });
  const said: string[] = [];
  const come = (name: string) =>
    admission.enter({
      start: (waitedMs) => said.push(`${name} starts after ${waitedMs}`),
      refuse: (s) => said.push(`${name} comes back in ${s}`),
    });
  return { clock, admission, said, come };
}

describe("admission", () => {
  test("so many at once, the others in their order as places come free", () => {
    const { clock, admission, said, come } = door();
    const [a, b] = [come("a"), come("b"), come("c"), come("d")];
    expect(said).toEqual(["a starts after 0", "b starts after 0"]);
    expect([admission.running, admission.waiting]).toEqual([2, 2]);
    clock.move(300);
    b?.();
    clock.move(200);
    a?.();
    expect(said.slice(2)).toEqual(["c starts after 300", "d starts after 500"]);
  });

  test("nobody waits longer than is stated: whose time is over is told to come back", () => {
    const { clock, said, come } = door({ mostHeldMs: 60_000 });
    const leave = ["a", "b", "c"].map(come);
    clock.move(3999);
    expect(said).toHaveLength(2);
    clock.move(1);
    expect(said[2]).toBe("c comes back in 5");
    leave[0]?.();
    leave[2]?.();
    expect(said).toHaveLength(3);
  });

  test("who would wait too long, as answers take now, is turned away at once and not after waiting", () => {
    const { clock, admission, said, come } = door();
    // Answers that take a second each, long enough for the mean to be one.
    for (let i = 0; i < 200; i++) {
      const leave = come("x");
      clock.move(1000);
      leave();
    }
    said.length = 0;
    const names = Array.from({ length: 12 }, (_, i) => `n${i}`);
    for (const name of names) come(name);
    // Two are answered; eight wait up to 4 s at two a second; the next would wait 4.5 s.
    expect(admission.waiting).toBe(8);
    expect(said.filter((line) => line.includes("comes back"))).toEqual(["n10 comes back in 5", "n11 comes back in 5"]);
  });

  test("one that goes away while it waits leaves its place to the next, and none is answered for nothing", () => {
    const { said, come } = door();
    const [a, , c] = [come("a"), come("b"), come("c"), come("d")];
    c?.();
    a?.();
    expect(said).toEqual(["a starts after 0", "b starts after 0", "d starts after 0"]);
  });

  test("a long answer keeps its place only so long; leaving later, or twice, counts once", () => {
    const { clock, admission, said, come } = door({ atOnce: 1, longestWaitMs: 6000 });
    const slow = come("slow");
    come("next");
    clock.move(5000);
    expect(said).toEqual(["slow starts after 0", "next starts after 5000"]);
    slow();
    slow();
    expect(admission.running).toBe(1);
  });

  test("those turned away come back at different times, 2 to 8 s", () => {
    const rng = seededRng("retry");
    const { admission } = door({}, rng);
    const times = new Set(Array.from({ length: 500 }, () => admission.retryAfterS()));
    expect([...times].sort((x, y) => x - y)).toEqual([2, 3, 4, 5, 6, 7, 8]);
  });

  test("under any load: each request is started or refused once, never more at once than allowed, no wait over the bound", () => {
    const rng = seededRng("admission");
    for (let run = 0; run < 20; run++) {
      const clock = new FakeClock();
      const atOnce = 1 + Math.floor(rng() * 8);
      const admission = new Admission({ atOnce, longestWaitMs: 2000, mostHeldMs: 3000, clock, random: rng });
      const calls = new Map<number, number>();
      let longest = 0;
      let refused = 0;
      for (let n = 0; n < 400; n++) {
        let leave = () => {};
        const called = () => calls.set(n, (calls.get(n) ?? 0) + 1);
        leave = admission.enter({
          start: (waitedMs) => {
            called();
            longest = Math.max(longest, waitedMs);
            clock.after(rng() * 400, () => leave());
          },
          refuse: () => {
            called();
            refused++;
          },
        });
        expect(admission.running).toBeLessThanOrEqual(atOnce);
        clock.move(rng() * 60);
      }
      clock.move(10_000);
      expect([...calls.values()].every((times) => times === 1)).toBe(true);
      expect(calls.size).toBe(400);
      expect(longest).toBeLessThanOrEqual(2000);
      expect([admission.running, admission.waiting]).toEqual([0, 0]);
      if (atOnce === 1) expect(refused).toBeGreaterThan(0);
    }
  });
});
