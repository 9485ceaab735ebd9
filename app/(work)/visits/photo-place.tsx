"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { PHOTO_PLACE } from "@/app/_words/visits.ts";

/** Whether time and position of photos are kept, for everybody of the account. */
export function PhotoPlace({ value }: { value: "keep" | "strip" }) {
  const router = useRouter();
  const [trouble, setTrouble] = useState<string | null>(null);
  const set = async (photoPlace: "keep" | "strip") => {
    setTrouble(null);
    try {
      await postJson("/api/pages/photo-place", { photoPlace });
      router.refresh();
    } catch (error) {
      setTrouble((error as Error).message);
    }
  };
  return (
    <section className="no-print" aria-label={PHOTO_PLACE.photos}>
      <h2>{PHOTO_PLACE.photos}</h2>
      <p>
        {PHOTO_PLACE.photosThatAreStored(
          value === "keep" ? PHOTO_PLACE.timeAndPositionOf : PHOTO_PLACE.timeAndPositionAre,
        )}
      </p>
      <div className="buttons">
        <button type="button" className="button" aria-pressed={value === "keep"} onClick={() => set("keep")}>
          {PHOTO_PLACE.keepTimeAndPosition(value === "keep" ? "✓ " : "")}
        </button>
        <button type="button" className="button" aria-pressed={value === "strip"} onClick={() => set("strip")}>
          {PHOTO_PLACE.takeThemOff(value === "strip" ? "✓ " : "")}
        </button>
      </div>
      <Trouble says={trouble} />
    </section>
  );
}
