import { ISOLATED } from "@/app/_words/shared.ts";
import { When } from "./when.tsx";

/** A site that is locked out, told by word and frame; locked out is not dead. */
export function Isolated({ since }: { since: string | null | undefined }) {
  if (!since) return null;
  return (
    <span className="isolated" title={ISOLATED.says}>
      {ISOLATED.word}{" "}
      <span>
        {ISOLATED.since} <When at={since} />
      </span>
    </span>
  );
}
