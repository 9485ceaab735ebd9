import type AxeBuilder from "@axe-core/playwright";

/** What axe calls serious or critical, in a line each with where it was found. */
export const severe = (found: Awaited<ReturnType<AxeBuilder["analyze"]>>, where: string): string[] =>
  found.violations
    .filter((v) => v.impact === "serious" || v.impact === "critical")
    .map((v) => `${where} ${v.id}: ${v.nodes[0]?.html.slice(0, 120)}`);
