import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import ts from "typescript";
import { describe, expect, test } from "vitest";
import { GLOSSARY } from "../../app/_words/glossary.ts";

/** What shows its words from `app/_words` alone. A page that is moved there is added here. */
const MOVED = [
  "_ui",
  "_sign-in",
  "layout.tsx",
  "not-found.tsx",
  "sign-in",
  "join",
  "(work)/layout.tsx",
  "(work)/loading.tsx",
  "(work)/error.tsx",
  "(work)/access/access-nav.tsx",
  "(work)/glossary",
  "(work)/system/system-state.tsx",
  "(work)/you/page.tsx",
  "(work)/you/units-choice.tsx",
  "(work)/you/password-form.tsx",
];
/** Shared parts that still hold their own. */
const NOT_YET = ["visit-papers.tsx", "rain-strip.tsx", "rain-strip-chart.tsx", "sent-picture.tsx"];
const SAID = new Set(["label", "title", "aria-label", "alt", "placeholder", "says", "hint"]);
const app = path.resolve(import.meta.dirname, "..", "..", "app");

function filesOf(place: string): string[] {
  const full = path.join(app, place);
  if (place.endsWith(".tsx")) return [full];
  return readdirSync(full, { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".tsx") && !NOT_YET.includes(path.basename(name)))
    .map((name) => path.join(full, name));
}

/** Words written into the markup of a file: text between tags, and what attributes say. */
function ownWords(source: string): string[] {
  const found: string[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isJsxText(node) && /\p{L}{2}/u.test(node.text)) found.push(node.text.trim());
    if (ts.isJsxAttribute(node) && SAID.has(node.name.getText()) && node.initializer) {
      const value = ts.isJsxExpression(node.initializer) ? node.initializer.expression : node.initializer;
      if (value && ts.isStringLiteral(value) && /\p{L}{2}/u.test(value.text)) found.push(value.text);
    }
    ts.forEachChild(node, visit);
  };
  visit(ts.createSourceFile("x.tsx", source, ts.ScriptTarget.Latest, true, ts.ScriptKind.TSX));
  return found;
}

describe("words on the screens", () => {
  test.each(MOVED.flatMap(filesOf).map((file) => [path.relative(app, file), file]))(
    "%s holds none of its own",
    (_, file) => {
      expect(ownWords(readFileSync(file, "utf8"))).toEqual([]);
    },
  );
  test("words in the markup are found", () => {
    expect(ownWords('<p title="Not known">Sign in {name}</p>')).toEqual(["Not known", "Sign in"]);
    expect(ownWords("<p title={W.notKnown}>{W.signIn} · {name}</p>")).toEqual([]);
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
    const used = filesOf("(work)").flatMap((file) =>
      [...readFileSync(file, "utf8").matchAll(/<Term id="([\w-]+)"/g)].map(([, id]) => id as string),
    );
    expect(used.length).toBeGreaterThan(4);
    expect(used.filter((id) => !GLOSSARY.some((t) => t.id === id))).toEqual([]);
  });
});
