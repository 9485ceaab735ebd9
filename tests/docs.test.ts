import { existsSync, readFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, test } from "vitest";
import { COMMANDS } from "../lib/cli/commands.ts";

const root = path.resolve(import.meta.dirname, "..");
const read = (name: string) => readFileSync(path.join(root, name), "utf8");
const DOCS = ["README.md", "DEVELOPERS.md"].map((name) => ({ name, text: read(name) }));

describe("README and DEVELOPERS", () => {
  test("name only npm scripts and commands that exist", () => {
    const scripts = Object.keys((JSON.parse(read("package.json")) as { scripts: Record<string, string> }).scripts);
    for (const { name, text } of DOCS) {
      for (const [, script] of text.matchAll(/npm run (?:--silent )?([a-z:]+)/g))
        expect(scripts, `${name}: npm run ${script}`).toContain(script);
      for (const [, command] of text.matchAll(
        /raintrip (?:-- )?(import|score|queue|weather|serve|worker|migrate|demo|doctor|plan|evidence|verify|backup|restore)\b/g,
      )) {
        expect(Object.keys(COMMANDS), `${name}: ${command}`).toContain(command);
      }
    }
  });

  test("name only files that exist", () => {
    const rooms = ["", "lib/", "app/", "tests/"];
    for (const { name, text } of DOCS) {
      const paths = [...text.matchAll(/`([\w.()[\]/-]+\/[\w.()[\]/-]*|[\w-]+\.(?:ts|mjs|sql|prisma))`/g)].map(
        (m) => m[1] as string,
      );
      for (const file of paths) {
        if (file.startsWith("/") || file.startsWith("_")) continue;
        expect(
          rooms.some((room) => existsSync(path.join(root, room, file))) || file === ".raintrip/",
          `${name}: ${file}`,
        ).toBe(true);
      }
      for (const [, picture] of text.matchAll(/!\[[^\]]*\]\(([^)]+)\)/g))
        expect(existsSync(path.join(root, picture as string)), `${name}: ${picture}`).toBe(true);
    }
  });

  test("the README shows the two commands first", () => {
    expect(read("README.md")).toMatch(/npm start[\s\S]{0,200}npm test/);
  });
});
