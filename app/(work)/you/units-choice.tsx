"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { OneOf } from "@/app/_ui/field.tsx";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { useSay } from "@/app/_ui/toast.tsx";
import { useUnits } from "@/app/_ui/units.tsx";
import { YOU } from "@/app/_words/sign-in.ts";
import { UNITS, UNITS_SAY, type Units } from "@/lib/core/units.ts";

/** In which units somebody reads; stored with the person, so it is the same on every device. */
export function UnitsChoice() {
  const router = useRouter();
  const say = useSay();
  const units = useUnits();
  const [trouble, setTrouble] = useState("");
  const [isBusy, setBusy] = useState(false);
  const choose = async (next: Units) => {
    setBusy(true);
    setTrouble("");
    try {
      await postJson("/api/pages/units", { units: next });
      say(YOU.unitsSet(UNITS_SAY[next]));
      router.refresh();
    } catch (error) {
      setTrouble((error as Error).message);
    }
    setBusy(false);
  };
  return (
    <>
      <OneOf
        label={YOU.unitsLabel}
        value={units}
        options={UNITS.map((value) => ({ value, says: UNITS_SAY[value] }))}
        onChoose={choose}
        isBusy={isBusy}
      />
      <Trouble says={trouble} />
    </>
  );
}
