import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, test } from "vitest";
import { leftAt, shadeOf, wideBy } from "../../app/_ui/placed.ts";
import { pagePolicy } from "../../lib/core/page-policy.ts";

describe("content security policy", () => {
  test("lets nothing in that it does not name, and nothing inline without the nonce", () => {
    const policy = new Map(
      pagePolicy("abc")
        .split("; ")
        .map((part) => [part.split(" ")[0], part.split(" ").slice(1)] as const),
    );
    expect(policy.get("default-src")).toEqual(["'none'"]);
    expect(policy.get("script-src")).toEqual(["'self'", "'nonce-abc'", "'strict-dynamic'"]);
    expect(policy.get("frame-ancestors")).toEqual(["'none'"]);
    expect(policy.get("base-uri")).toEqual(["'none'"]);
    expect(pagePolicy("abc")).not.toMatch(/unsafe-inline|unsafe-eval|\*|https?:/);
  });

  test("no component carries a style attribute or raw HTML, which the policy would block or should", () => {
    const files = readdirSync("app", { recursive: true, encoding: "utf8" })
      .filter((file) => file.endsWith(".tsx"))
      .map((file) => path.join("app", file));
    expect(files.length).toBeGreaterThan(50);
    const found = files.filter((file) =>
      /\sstyle=|dangerouslySetInnerHTML|\{ style \}/.test(readFileSync(file, "utf8")),
    );
    expect(found, "use a class; places along a bar come from app/_ui/placed.ts").toEqual([]);
  });

  test("every place along a bar that the code can name has its rule", () => {
    const css = readFileSync("app/_ui/places.css", "utf8");
    for (const percent of [-3, 0, 12.5, 33.333, 99.9, 100, 250])
      for (const name of [leftAt(percent), wideBy(percent)]) expect(css).toContain(`.${name} {`.replace(" {", "{"));
    expect([leftAt(12.5), wideBy(100), shadeOf(0.5)]).toEqual(["l50", "w400", "p10"]);
    expect(css).toContain(".l50{left:12.5%}");
  });
});
