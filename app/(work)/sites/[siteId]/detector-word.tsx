"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { DETECTOR_WORD } from "@/app/_words/site-history.ts";
import type { FixLine } from "@/lib/reads/fixes-view.ts";

/** Somebody who looked says whether the detector is as it was before the repair; records alone cannot tell. */
export function DetectorWord({ siteId, fix }: { siteId: string; fix: FixLine }) {
  const router = useRouter();
  const [said, setSaid] = useState<boolean | null>(null);
  const [trouble, setTrouble] = useState<string | null>(null);
  const say = async (unchanged: boolean) => {
    setTrouble(null);
    try {
      const body = { repairedAt: fix.repairedAt, cause: fix.cause, unchanged };
      await postJson(`/api/pages/sites/${encodeURIComponent(siteId)}/detector`, body);
      setSaid(unchanged);
      router.refresh();
    } catch (error) {
      setTrouble((error as Error).message);
    }
  };
  const known = said ?? fix.detectorUnchanged;
  return (
    <fieldset className="plain no-print">
      <legend>{DETECTOR_WORD.isTheGroundFault}</legend>
      <div className="buttons">
        <button type="button" className="button" aria-pressed={known === true} onClick={() => say(true)}>
          {DETECTOR_WORD.yesLookedAt(known === true ? "✓ " : "")}
        </button>
        <button type="button" className="button" aria-pressed={known === false} onClick={() => say(false)}>
          {DETECTOR_WORD.noItWasChanged(known === false ? "✓ " : "")}
        </button>
      </div>
      <p className="soft" role="status">
        {said !== null ? DETECTOR_WORD.storedWithYourName : ""}
      </p>
      <Trouble says={trouble} />
    </fieldset>
  );
}
