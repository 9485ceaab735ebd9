import { describe, expect, test } from "vitest";
import { eitherSignal } from "../../lib/live/either-signal.ts";

describe("eitherSignal", () => {
  test("ends with the first, by its reason, and with one that had ended before", () => {
    const a = new AbortController();
    const b = new AbortController();
    const { signal } = eitherSignal(a.signal, b.signal);
    expect(signal.aborted).toBe(false);
    b.abort("second");
    a.abort("first");
    expect(signal.reason).toBe("second");
    expect(eitherSignal(new AbortController().signal, a.signal).signal.reason).toBe("first");
  });
  test("once released, nothing ends it", () => {
    const a = new AbortController();
    const { signal, release } = eitherSignal(a.signal);
    release();
    a.abort("late");
    expect(signal.aborted).toBe(false);
  });
  test("a time-out that nobody else holds still ends it", async () => {
    const { signal } = eitherSignal(AbortSignal.timeout(20), new AbortController().signal);
    await new Promise((resolve) => signal.addEventListener("abort", resolve));
    expect((signal.reason as Error).name).toBe("TimeoutError");
  });
});
