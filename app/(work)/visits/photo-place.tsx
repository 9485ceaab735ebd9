"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";

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
    <section className="no-print" aria-label="Photos">
      <h2>Photos</h2>
      <p>
        {value === "keep"
          ? "Time and position of photos are kept, where the phone gives them."
          : "Time and position are taken off every photo before it is stored, also out of the file."}{" "}
        Photos that are stored already stay as they are.
      </p>
      <div className="buttons">
        <button type="button" className="button" aria-pressed={value === "keep"} onClick={() => set("keep")}>
          {value === "keep" ? "✓ " : ""}Keep time and position
        </button>
        <button type="button" className="button" aria-pressed={value === "strip"} onClick={() => set("strip")}>
          {value === "strip" ? "✓ " : ""}Take them off
        </button>
      </div>
      <Trouble says={trouble} />
    </section>
  );
}
