import { describe, expect, test } from "vitest";
import { readCoverage, readPaper } from "../../../lib/reads/coverage.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { keepPaper, safeFileName } from "../../../lib/writes/coverage-paper.ts";
import { fileRequest } from "../../support/sample-files.ts";
import { audit, book, NOW, save, siteId, view } from "./scene.ts";

describe("register", () => {
  test("a contract is entered and changed as an import would, and the audit log says what was what before", async () => {
    expect(await save("P-A")).toEqual({ coverageId: "P-A", troubles: [] });
    await save("P-A", { notice_days: "" }, true);
    const { contracts } = await view();
    expect(contracts).toMatchObject([
      {
        coverageId: "P-A",
        noticeDays: null,
        limitAmount: 50_000,
        excludes: ["wear", "vermin"],
        conditions: ["annual_inspection"],
      },
    ]);
    const [change] = await audit("coverage.change");
    expect(change?.detail).toEqual({ coverageId: "P-A", changes: { notice_days: { from: 30, to: null } } });
    await save("P-A", {}, true);
  });

  test("what cannot be stored is refused with field and reason, and nothing is changed", async () => {
    await expect(save("P-B", { ends_on: "2023-01-01" })).rejects.toThrow(/ends on .*2023-01-01.*Nothing was stored/);
    await expect(save("P-B", { notice_days: "thirty" })).rejects.toThrow(/notice days "thirty": not a number/);
    await expect(save("P-B", { currency: "QQQ" })).rejects.toThrow(/ISO 4217/);
    await expect(save("P-A")).rejects.toThrow(/"P-A" is taken/);
    await expect(save("P-NONE", {}, true)).rejects.toThrow(/no contract "P-NONE"/);
    expect((await view()).contracts).toHaveLength(1);
  });

  test("overlap, a limit below the deductible and a missing currency are stored and said, on saving and in the register", async () => {
    const { troubles } = await save("P-C", { limit_amount: "500", currency: "" });
    expect(troubles.join(" ")).toMatch(/limit 500 is below the deductible 1000.*no currency.*both run from/s);
    const { troubles: found, contracts } = await readCoverage(LOCAL_ACTOR, { book }, NOW);
    expect(found.map((t) => t.what).sort()).toEqual(["currency_missing", "limit_below_deductible", "overlap"]);
    expect(contracts.map((c) => c.coverageId)).toEqual(["P-A", "P-C"]);
    expect((await readCoverage(LOCAL_ACTOR, { find: "p-c" }, NOW)).contractsTotal).toBe(1);
    await save("P-C", { starts_on: "2020-01-01", ends_on: "2020-12-31", trigger: "claims_made" }, true);
  });

  test("a paper comes back byte for byte; what is neither PDF nor picture, or too large, is refused", async () => {
    const bytes = Buffer.from("%PDF-1.7\nan invented contract");
    const query = {
      site_id: siteId,
      coverage_id: "P-A",
      kind: "contract",
      file_name: "../../evil\u0000name.pdf",
      page: 12,
    } as const;
    const { document_id: id } = await keepPaper(LOCAL_ACTOR, query, fileRequest(bytes));
    const paper = await readPaper(LOCAL_ACTOR, siteId, id);
    expect(paper.content.equals(bytes)).toBe(true);
    expect(paper).toMatchObject({ mediaType: "application/pdf", fileName: "evil_name.pdf" });
    expect((await view()).contracts.find((c) => c.coverageId === "P-A")?.papers).toMatchObject([
      { page: 12, kind: "contract" },
    ]);
    await expect(keepPaper(LOCAL_ACTOR, query, fileRequest(Buffer.from("<script>")))).rejects.toThrow(
      /neither a PDF nor/,
    );
    await expect(keepPaper(LOCAL_ACTOR, query, fileRequest(Buffer.alloc(15_000_001)))).rejects.toThrow(/at most 15 MB/);
    await expect(keepPaper(LOCAL_ACTOR, { ...query, coverage_id: "P-NONE" }, fileRequest(bytes))).rejects.toThrow(
      /no contract/,
    );
    expect(safeFileName("..")).toBe("paper");
  });
});
