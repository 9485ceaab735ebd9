"use client";

import { type ReactNode, useMemo, useRef } from "react";
import { PICTURE_SCALE } from "./download.ts";
import { type ChartTable, Frame } from "./frame.tsx";
import { type Tokens, useTokens } from "./tokens.ts";
import { type ChartOption, useEChart, type ZoomRange } from "./use-echart.ts";

interface Props {
  name: string;
  /** What the chart is of, in a few words with the unit. */
  title: string;
  /** What it shows and how it is read. */
  says: string;
  build: (tokens: Tokens) => ChartOption;
  table: ChartTable;
  heightPx?: number;
  isNarrow?: boolean;
  onZoom?: (range: ZoomRange) => void;
  controls?: ReactNode;
  /** Dragging over the picture zooms to what it was dragged over. */
  brush?: boolean;
}

/** A chart with the sentence that explains it, its numbers as a table and both as files. `build` must be stable between renders. */
export function ChartFrame({
  name,
  title,
  says,
  build,
  table,
  heightPx = 260,
  isNarrow,
  onZoom,
  controls,
  brush,
}: Props) {
  const ref = useRef<HTMLDivElement>(null);
  const tokens = useTokens();
  const option = useMemo(() => {
    const built = build(tokens);
    return { ...built, aria: { ...built.aria, enabled: true, label: { description: `${title}. ${says}` } } };
  }, [build, tokens, title, says]);
  const chart = useEChart(ref, option, onZoom, brush);
  return (
    <Frame
      name={name}
      title={title}
      says={says}
      table={table}
      controls={controls}
      toCanvas={() => chart.current?.renderToCanvas({ pixelRatio: PICTURE_SCALE }) ?? null}
    >
      <div
        ref={ref}
        className={isNarrow ? "chart narrow" : "chart"}
        data-height={heightPx}
        data-chart={name}
        role="img"
        aria-label={`${title}. ${says}`}
      />
    </Frame>
  );
}
