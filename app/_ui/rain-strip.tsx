import { RAIN_STRIP } from "@/app/_words/ui.ts";
import type { RainStrip as Strip } from "@/lib/reads/ranked-sites-view.ts";
import { rainStripPaths, STRIP_HEIGHT } from "./rain-strip-paths.ts";

/** Twelve months of a site: rain above the line, ground faults below it. */
export function RainStrip({ strip }: { strip: Strip }) {
  const { rain, dew, faults, unknown, says } = rainStripPaths(strip);
  return (
    <svg className="rain-strip" viewBox={`0 0 365 ${STRIP_HEIGHT}`} preserveAspectRatio="none" role="img">
      <title>{says}</title>
      <path className="axis" d="M0 25.5h365" strokeWidth="1" />
      <path className="unknown" d={unknown} strokeWidth="3" />
      <path className="dew" d={dew} strokeWidth="3" />
      <path className="rain" d={rain} strokeWidth="1.2" />
      <path className="fault" d={faults} strokeWidth="2.4" />
    </svg>
  );
}

export function RainStripLegend() {
  return (
    <p className="legend">
      <span>
        <i className="of-water" />
        {RAIN_STRIP.rain}
      </span>
      <span>
        <i className="of-dew" />
        {RAIN_STRIP.dew}
      </span>
      <span>
        <i className="of-fault" />
        {RAIN_STRIP.groundFaultOnsetsBelow}
      </span>
      <span>
        <i className="of-unknown" />
        {RAIN_STRIP.weatherNotKnown}
      </span>
    </p>
  );
}
