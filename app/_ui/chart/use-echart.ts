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
    renderers.CanvasRenderer,
  ]);
  return core;
}

/**
 * A chart in an element: made once, given a new option when it changes, resized with its element. `data-painted` is set
 * on the element when it has drawn, so tests need not guess.
 */
export function useEChart(
  ref: RefObject<HTMLDivElement | null>,
  option: ChartOption,
  onZoom?: (range: ZoomRange) => void,
): void {
  const chart = useRef<ECharts | null>(null);
  const latest = useRef(option);
  latest.current = option;
  const zoom = useRef(onZoom);
  zoom.current = onZoom;
  useEffect(() => {
    let gone = false;
    let observer: ResizeObserver | null = null;
    engine().then((core) => {
      const element = ref.current;
      if (gone || !element) return;
      const made = core.init(element);
      chart.current = made;
      made.on("finished", () => element.setAttribute("data-painted", "true"));
      made.on("datazoom", () => {
        const [first] = (made.getOption().dataZoom as ZoomRange[] | undefined) ?? [];
        if (first) zoom.current?.({ start: first.start, end: first.end });
      });
      made.setOption(latest.current, { notMerge: true });
      observer = new ResizeObserver(() => made.resize());
      observer.observe(element);
    });
    return () => {
      gone = true;
      observer?.disconnect();
      chart.current?.dispose();
      chart.current = null;
    };
  }, [ref]);
  useEffect(() => {
    ref.current?.removeAttribute("data-painted");
    chart.current?.setOption(option, { notMerge: true });
  }, [ref, option]);
}
