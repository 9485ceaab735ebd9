import { expect, test } from "vitest";
import { scoreMoves } from "../../lib/diagnose/score-moves.ts";

const item = (source: string, decibans: number) => ({ source, decibans, says: `${source} says` });

test("moves are the differences by source, the greatest first, and with the rest they sum to the change of the log-odds", () => {
  const before = [item("prior", -9), item("weather", 4), item("inspection", -2)];
  const after = [item("prior", -9), item("weather", 10), item("repair", -3.5), item("path", 0.5)];
  const { moves, rest } = scoreMoves(before, after, 2);
  expect(moves.map((m) => [m.source, m.decibans])).toEqual([
    ["weather", 6],
    ["repair", -3.5],
  ]);
  const sum = (of: { decibans: number }[]) => of.reduce((total, e) => total + e.decibans, 0);
  expect(sum(moves) + rest).toBeCloseTo(sum(after) - sum(before), 12);
});

test("evidence that is gone is named as gone; equal scores have no moves", () => {
  expect(scoreMoves([item("inspection", -2)], [], 3).moves).toEqual([
    { source: "inspection", decibans: 2, says: "No longer: inspection says" },
  ]);
  expect(scoreMoves([item("a", 1)], [item("a", 1)], 3)).toEqual({ moves: [], rest: 0 });
});
