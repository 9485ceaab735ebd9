import { describe, expect, test } from "vitest";
import { evidenceHeight, evidenceOption } from "../../app/_ui/chart/evidence-option.ts";
import { stepTimes, timelineOption, wallOf } from "../../app/_ui/chart/timeline-option.ts";
import { banded, decibanText, money, smallNumber } from "../../app/_ui/format.ts";
import { rainStripPaths } from "../../app/_ui/rain-strip-paths.ts";
import { bandedPercent } from "../../lib/core/banded.ts";
import type { SiteTimeline } from "../../lib/reads/site-view.ts";

const TOKENS = { ink: "#000", soft: "#333", line: "#ccc", water: "#00f", fault: "#808", for: "#a00", against: "#0a0" };

describe("evidenceOption", () => {
  const evidence = [
    { source: "prior", decibans: -6.2, says: "base" },
    { source: "events", decibans: 11.4, says: "<b>rain</b>" },
  ];
  test("keeps order and value of every item, and colours by its side", () => {
    const option = evidenceOption(evidence, TOKENS);
    const data = option.series[0]?.data as { value: number; itemStyle: { color: string } }[];
    expect(data.map((d) => d.value)).toEqual([-6.2, 11.4]);
    expect(data.map((d) => d.itemStyle.color)).toEqual([TOKENS.against, TOKENS.for]);
    expect(evidenceHeight(10)).toBeGreaterThan(evidenceHeight(2));
  });
  test("text from imported files is handed on as text, for a tooltip that is drawn and never HTML", () => {
    const { tooltip } = evidenceOption(evidence, TOKENS) as unknown as {
      tooltip: { formatter: (item: object) => string };
    };
    expect(tooltip.formatter({ dataIndex: 1 })).toBe("11.4 dB\n<b>rain</b>");
  });
});

describe("timelineOption", () => {
  const timeline: SiteTimeline = {
    step: "day",
    from: "2026-03-01T00:00:00-06:00",
    timeZone: "America/Chicago",
    rainMm: [1.5, null, 0],
    filmMm: [0.8, null, 0.1],
    logFrom: null,
    faults: [{ onset: "2026-03-01T09:30:00-06:00", end: null, wet: true, label: "INV1" }],
  };
  test("shows the site's wall clock and every fault, and leaves unknown steps open", () => {
    expect(wallOf(timeline.from)).toBe(Date.UTC(2026, 2, 1));
    expect(stepTimes(timeline)[2]).toBe(Date.UTC(2026, 2, 3));
    const option = timelineOption(timeline, TOKENS);
    const [rain, film, faults] = option.series.map((s) => s.data as [number, number | null][]);
    expect(rain?.map((d) => d[1])).toEqual([1.5, null, 0]);
    expect(film?.[1]?.[1]).toBeNull();
    expect(faults).toEqual([[Date.UTC(2026, 2, 1, 9, 30), 0.5]]);
  });
});

describe("rainStripPaths", () => {
  test("draws rain up, faults down, unknown on the line, and says in words what it shows", () => {
    const days = 365;
    const strip = {
      endDay: "2026-10-31",
      rainMm: new Array<number | null>(days).fill(0),
      dewHours: new Array<number | null>(days).fill(0),
      onsets: new Array<number>(days).fill(0),
    };
    strip.rainMm[10] = 9;
    strip.rainMm[20] = null;
    strip.onsets[11] = 2;
    strip.dewHours[30] = 2;
    strip.dewHours[31] = 5;
    strip.dewHours[33] = 1;
    strip.onsets[200] = 1;
    const paths = rainStripPaths(strip);
    expect(paths.rain).toBe("M10.5 25v-14");
    expect(paths.unknown).toBe("M20 25h1");
    expect(paths.dew).toBe("M30 23.5h2M33 23.5h1");
    expect(paths.faults.split("M")).toHaveLength(3);
    expect(paths.says).toBe(
      "Twelve months to 2026-10-31: 1 rain days, weather not known on 1 days, 3 ground-fault onsets, 2 on a rain day or the day after.",
    );
  });
});

describe("format", () => {
  test("a probability goes out with its interval and is never 0 or 1", () => {
    expect(banded({ p: 0.9999, low: 0.42, high: 1 })).toBe(">0.99 (0.42 to >0.99)");
    expect(bandedPercent({ p: 0.0001, low: 0, high: 1 })).toBe("under 1 % (under 1 % to over 99 %)");
    expect(smallNumber(1e-9)).toBe("< 0.0001");
    expect(smallNumber(null)).toBe("not given");
    expect(decibanText(-0.01)).toBe("0.0");
    expect(money(1234.6, "USD")).toBe("1,235 USD");
    expect(money(null, "USD")).toBe("not known");
  });
});
