"use client";

/** Pixels of the picture for each of the screen. */
export const PICTURE_SCALE = 2;
const MARGIN_PX = 16;
const LINE_PX = 20;

/** Hand a file to the browser. */
export function downloadBlob(blob: Blob, fileName: string): void {
  const url = URL.createObjectURL(blob);
  const link = document.createElement("a");
  link.href = url;
  link.download = fileName;
  link.click();
  // The browser has read the address by the next task.
  setTimeout(() => URL.revokeObjectURL(url), 0);
}

/** Words of a text in lines no wider than `widthPx`, as `measure` has them. */
export function linesOf(text: string, widthPx: number, measure: (line: string) => number): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(/\s+/).filter(Boolean)) {
    const longer = line ? `${line} ${word}` : word;
    if (line && measure(longer) > widthPx) {
      lines.push(line);
      line = word;
    } else line = longer;
  }
  return line ? [...lines, line] : lines;
}

/** A chart with its heading above and its sentence below, on the page's own ground, as PNG. */
export async function pictureOf(chart: HTMLCanvasElement, title: string, says: string): Promise<Blob | null> {
  const style = getComputedStyle(document.documentElement);
  const token = (name: string) => style.getPropertyValue(name).trim();
  const canvas = document.createElement("canvas");
  const pen = canvas.getContext("2d");
  if (!pen) return null;
  const family = getComputedStyle(document.body).fontFamily;
  const widthPx = chart.width / PICTURE_SCALE;
  pen.font = `13px ${family}`;
  const lines = linesOf(says, widthPx, (line) => pen.measureText(line).width);
  const chartTop = MARGIN_PX + LINE_PX + 8;
  const textTop = chartTop + chart.height / PICTURE_SCALE + 8;
  canvas.width = (widthPx + 2 * MARGIN_PX) * PICTURE_SCALE;
  canvas.height = (textTop + lines.length * LINE_PX + MARGIN_PX) * PICTURE_SCALE;
  pen.scale(PICTURE_SCALE, PICTURE_SCALE);
  pen.fillStyle = token("--raised");
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.textBaseline = "top";
  pen.fillStyle = token("--ink");
  pen.font = `600 15px ${family}`;
  pen.fillText(title, MARGIN_PX, MARGIN_PX);
  pen.drawImage(chart, MARGIN_PX, chartTop, widthPx, chart.height / PICTURE_SCALE);
  pen.fillStyle = token("--ink-soft");
  pen.font = `13px ${family}`;
  lines.forEach((line, k) => {
    pen.fillText(line, MARGIN_PX, textTop + k * LINE_PX);
  });
  return new Promise((resolve) => canvas.toBlob(resolve, "image/png"));
}
