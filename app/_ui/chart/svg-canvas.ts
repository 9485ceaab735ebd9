"use client";

import { PICTURE_SCALE } from "./download.ts";

/** What a drawing takes from the style sheet and a file of it has to carry itself. */
const CARRIED = ["stroke", "fill", "stroke-width", "stroke-dasharray", "vector-effect", "font-size", "font-weight"];

/** A drawing of the page with its colours as attributes, as a picture of the size that it has on the screen. */
export async function svgCanvas(svg: SVGSVGElement): Promise<HTMLCanvasElement> {
  const { width, height } = svg.getBoundingClientRect();
  const copy = svg.cloneNode(true) as SVGSVGElement;
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  copy.setAttribute("width", String(width));
  copy.setAttribute("height", String(height));
  const originals = svg.querySelectorAll("*");
  copy.querySelectorAll("*").forEach((element, k) => {
    const style = getComputedStyle(originals[k] as Element);
    for (const name of CARRIED) element.setAttribute(name, style.getPropertyValue(name));
  });
  const url = URL.createObjectURL(
    new Blob([new XMLSerializer().serializeToString(copy)], { type: "image/svg+xml;charset=utf-8" }),
  );
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    const canvas = document.createElement("canvas");
    canvas.width = width * PICTURE_SCALE;
    canvas.height = height * PICTURE_SCALE;
    canvas.getContext("2d")?.drawImage(image, 0, 0, canvas.width, canvas.height);
    return canvas;
  } finally {
    URL.revokeObjectURL(url);
  }
}
