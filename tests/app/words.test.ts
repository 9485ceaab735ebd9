import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, test } from "vitest";
import { GLOSSARY } from "../../app/_words/glossary.ts";
import { ownWords } from "../support/own-words.ts";

const app = path.resolve(import.meta.dirname, "..", "..", "app");
/** What nobody reads in a served installation. */
const NOT_YET = ["(work)/styleguide"];
/** Files that answer machines. */
const MACHINES = ["api", "calendar"];

const sources = readdirSync(app, { recursive: true, encoding: "utf8" }).filter(
  (file) => /\.tsx?$/.test(file) && !["_words", ...NOT_YET, ...MACHINES].some((place) => file.startsWith(`${place}/`)),
);

describe("words on the screens", () => {
  test.each(sources)("%s holds none of its own", (file) => {
    expect(ownWords(readFileSync(path.join(app, file), "utf8"))).toEqual([]);
  });
  test("words in markup, attributes, conditions, tables, errors and templates are found", () => {
    expect(ownWords('<p title="Not known">Sign in {name}</p>')).toEqual(["Not known", "Sign in"]);
    expect(ownWords('<p>{n === 1 ? "day" : W.days}</p>')).toEqual(["day"]);
    expect(ownWords('const c = [{ name: "Cause", num: true }]')).toEqual(["Cause"]);
    expect(ownWords(["throw new Error(`The list could not be read ($", "{status}).`)"].join(""))).toHaveLength(1);
    expect(ownWords("<p title={W.notKnown}>{W.signIn} · {name}</p>")).toEqual([]);
    expect(ownWords('<a className="note gap" href="/sites">{W.sites}</a>')).toEqual([]);
    expect(ownWords('fetch("/api/pages/a b"); if (kind === "Not known") go("make_safe")')).toEqual([]);
  });
});

/** Templates of a source that put a figure beside the word probability, with how they write it. */
function bareProbabilities(source: string): string[] {
  return [...source.replaceAll(/RangeError\([^)]*\)/g, "").matchAll(/probabilit(?:y|ies)[^`"$\n]{0,24}\$\{([^}]*)\}/gi)]
    .map(([, written]) => written as string)
    .filter(
      (written) =>
        /toFixed|[pP]ercent|\bp\b|\b[pP]robability/.test(written) &&
        !/^(banded|causeChance|chance\b|.*Figure\()/.test(written.trim()),
    );
}

describe("probabilities in sentences", () => {
  const lib = path.resolve(app, "..", "lib");
  const files = [
    ...readdirSync(lib, { recursive: true, encoding: "utf8" })
      .filter((file) => file.endsWith(".ts") && !/generated|core\/banded/.test(file))
      .map((file) => path.join(lib, file)),
    ...readdirSync(app, { recursive: true, encoding: "utf8" })
      .filter((file) => /\.tsx?$/.test(file))
      .map((file) => path.join(app, file)),
  ];
  test("go out with their interval, in the library and on the screens", () => {
    const bare = files.flatMap((file) =>
      bareProbabilities(readFileSync(file, "utf8")).map((written) => `${path.basename(file)}: ${written}`),
    );
    expect(files.length).toBeGreaterThan(500);
    expect(bare).toEqual([]);
  });
  test("one that goes out alone is found", () => {
    expect(bareProbabilities(["`It has probability $", "{p.toFixed(2)}.`"].join(""))).toEqual(["p.toFixed(2)"]);
    expect(bareProbabilities(["`It has probability $", "{bandedText(p)}.`"].join(""))).toEqual([]);
  });
  test("no word of the screens calls a site safe", () => {
    const words = readdirSync(path.join(app, "_words")).map((file) =>
      readFileSync(path.join(app, "_words", file), "utf8"),
    );
    for (const text of words)
      for (const [said] of text.matchAll(/[^.`"]*\b(?:is|are|was|as|now|site|it) safe\b[^.`"]*/gi))
        expect(said).toMatch(/never|no |not /i);
  });
});

describe("glossary", () => {
  test("is in the order of the alphabet, explains each term once and in full, and calls nothing safe", () => {
    const names = GLOSSARY.map((t) => t.name);
    expect(names).toEqual([...names].sort((a, b) => a.localeCompare(b, "en")));
    expect(new Set(GLOSSARY.map((t) => t.id)).size).toBe(GLOSSARY.length);
    for (const { name, says } of GLOSSARY) {
      expect(says.length, name).toBeGreaterThan(40);
      expect(says, name).not.toMatch(/\b(is|are) safe\b/);
    }
  });
  test("has every term that a page links to", () => {
    const used = readdirSync(path.join(app, "(work)"), { recursive: true, encoding: "utf8" })
      .filter((file) => file.endsWith(".tsx"))
      .flatMap((file) =>
        [...readFileSync(path.join(app, "(work)", file), "utf8").matchAll(/<Term id="([\w-]+)"/g)].map(
          ([, id]) => id as string,
        ),
      );
    expect(used.length).toBeGreaterThan(4);
    expect(used.filter((id) => !GLOSSARY.some((t) => t.id === id))).toEqual([]);
  });
});
