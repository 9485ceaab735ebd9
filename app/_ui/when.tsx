"use client";

import { createContext, type ReactNode, useContext } from "react";
import { KNOWN } from "@/app/_words/shared.ts";
import { zonedTime } from "./format.ts";

const ZoneContext = createContext("UTC");

/** Times below are shown in the zone of this site. */
export function SiteZone({ zone, children }: { zone: string; children: ReactNode }) {
  return <ZoneContext value={zone}>{children}</ZoneContext>;
}

/** A time in the site's zone, or UTC where no site is meant, with the viewer's own on hover. */
export function When({ at, zone }: { at: string; zone?: string }) {
  const ofSite = useContext(ZoneContext);
  return (
    <time
      dateTime={at}
      className="when"
      suppressHydrationWarning
      onPointerEnter={(e) => {
        e.currentTarget.title = viewersTime(at);
      }}
    >
      {zonedTime(at, zone ?? ofSite)}
    </time>
  );
}

/** The same moment on the clock of this browser. */
export function viewersTime(at: string): string {
  const own = Intl.DateTimeFormat().resolvedOptions().timeZone;
  return KNOWN.yourTime(zonedTime(at, own), own);
}
