import { getDocument } from "pdfjs-dist/legacy/build/pdf.mjs";

/** Points from the lower edge under which text belongs to the foot of a page. */
const FOOT = 45;

/** Text of a PDF as another reader finds it, page by page, in the order in which it was drawn. */
export async function pdfPages(bytes: Uint8Array): Promise<{ body: string; foot: string }[]> {
  const loading = getDocument({ data: Uint8Array.from(bytes), verbosity: 0 });
  const pdf = await loading.promise;
  const pages: { body: string; foot: string }[] = [];
  for (let n = 1; n <= pdf.numPages; n++) {
    const { items } = await (await pdf.getPage(n)).getTextContent();
    const page = { body: "", foot: "" };
    for (const item of items) {
      if (!("str" in item) || item.str === "") continue;
      const part = (item.transform[5] as number) < FOOT ? "foot" : "body";
      page[part] += `${item.str} `;
    }
    pages.push({ body: page.body.trim(), foot: page.foot.trim().replace(/\s+/g, " ") });
  }
  await loading.destroy();
  return pages;
}
