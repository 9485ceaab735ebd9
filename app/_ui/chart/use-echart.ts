"use client";

import type { EChartsOption, SeriesOption } from "echarts";
import type { ECharts } from "echarts/core";
import { type RefObject, useEffect, useRef } from "react";

export type ChartOption = EChartsOption & { series: SeriesOption[] };
export interface ZoomRange {
  /** Share of the axis, 0 to 100. */
  start: number;
  end: number;
}

/** Only the parts used are loaded, and only when a chart is on the page. */
async function engine() {
  const [core, charts, components, renderers] = await Promise.all([
    import("echarts/core"),
    import("echarts/charts"),
    import("echarts/components"),
    import("echarts/renderers"),
  ]);
  core.use([
    charts.BarChart,
    charts.LineChart,
    charts.ScatterChart,
    components.GridComponent,
    components.TooltipComponent,
    components.DataZoomComponent,
    components.AriaComponent,
    components.MarkLineComponent,
    components.LegendComponent,
    components.ToolboxComponent,
    renderers.CanvasRenderer,
  ]);
  return core;
}

/** Charts are drawn one after another where the page has time, so that a page full of them answers at once. */
let queue: Promise<unknown> = Promise.resolve();
const whenIdle = () =>
  new Promise<void>((resolve) => {
    if ("requestIdleCallback" in window) requestIdleCallback(() => resolve(), { timeout: 2_000 });
    else setTimeout(resolve, 100);
  });

/** Fulfilled when an element comes near the screen; on a desk also when the page has time, for it may be printed. */
function wanted(element: Element): Promise<void> {
  return new Promise((resolve) => {
    const observer = new IntersectionObserver(
      (entries) => {
        if (!entries.some((entry) => entry.isIntersecting)) return;
        observer.disconnect();
        resolve();
      },
      { rootMargin: "200px" },
    );
    observer.observe(element);
    addEventListener("beforeprint", () => resolve(), { once: true });
    // A phone spares its reader what they do not look at.
    if (matchMedia("(max-width: 760px)").matches) return;
    queue = queue.then(whenIdle).then(() => {
      observer.disconnect();
      resolve();
    });
  });
}

/** The library knows `overflow` of a tooltip and its types do not. */
const WRAPPED = { width: 340, overflow: "break" } as { width: number };

/** Tooltips are drawn, not written as HTML: nothing of a text is ever run, and no style attribute is needed. */
const drawn = (option: ChartOption): ChartOption => ({
  ...option,
  textStyle: { fontFamily: '"Inter Variable", system-ui, sans-serif' },
  tooltip: { ...option.tooltip, renderMode: "richText", textStyle: WRAPPED },
});

/** What a chart needs for zooming to a span that is drawn over it; its own buttons are not shown. */
export const BRUSH_TOOL = {
  itemSize: 0,
  showTitle: false,
  feature: { dataZoom: { yAxisIndex: false as const, filterMode: "none" as const } },
};

/** A pointer that is dragged over the picture chooses a span. A finger goes on moving the page and the picture. */
function brushed(chart: ECharts): void {
  if (matchMedia("(pointer: coarse)").matches) return;
  chart.dispatchAction({ type: "takeGlobalCursor", key: "dataZoomSelect", dataZoomSelectActive: true });
}

function setHeight(element: HTMLElement): void {
  if (element.dataset.height) element.style.height = `${element.dataset.height}px`;
}

/**
 * A chart in an element: made once, given a new option when it changes, resized with its element. `data-height` of the
 * element is its height, px. `data-painted` is set on the element when it has drawn, so tests need not guess.
 * @returns the chart, null until it is there
 */
export function useEChart(
  ref: RefObject<HTMLDivElement | null>,
  option: ChartOption,
  onZoom?: (range: ZoomRange) => void,
  brush = false,
): RefObject<ECharts | null> {
  const chart = useRef<ECharts | null>(null);
  const latest = useRef(option);
  latest.current = option;
  const zoom = useRef(onZoom);
  zoom.current = onZoom;
  useEffect(() => {
    let gone = false;
    let observer: ResizeObserver | null = null;
    const place = ref.current;
    if (!place) return;
    setHeight(place);
    wanted(place)
      .then(engine)
      .then((core) => {
        const element = ref.current;
        if (gone || !element) return;
        const made = core.init(element);
        chart.current = made;
        made.on("finished", () => element.setAttribute("data-painted", "true"));
        made.on("datazoom", () => {
          const [first] = (made.getOption().dataZoom as ZoomRange[] | undefined) ?? [];
          if (first) zoom.current?.({ start: first.start, end: first.end });
        });
        made.setOption(drawn(latest.current), { notMerge: true });
        if (brush) brushed(made);
        if (matchMedia("print").matches) made.getZr().flush();
        observer = new ResizeObserver(() => made.resize());
        observer.observe(element);
      });
    return () => {
      gone = true;
      observer?.disconnect();
      chart.current?.dispose();
      chart.current = null;
    };
  }, [ref, brush]);
  useEffect(() => {
    ref.current?.removeAttribute("data-painted");
    if (ref.current) setHeight(ref.current);
    chart.current?.setOption(drawn(option), { notMerge: true });
    if (brush && chart.current) brushed(chart.current);
    // What is about to be printed is taken from the canvas at once, so nothing may wait for the next frame.
    if (matchMedia("print").matches) chart.current?.getZr().flush();
  }, [ref, option, brush]);
  return chart;
}
