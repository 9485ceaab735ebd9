import { When } from "./when.tsx";

/** A site that is locked out, told by word and frame; locked out is not dead. */
export function Isolated({ since }: { since: string | null | undefined }) {
  if (!since) return null;
  return (
    <span className="isolated" title="Isolation stops AC and inverter current only: treat all metal as live.">
      ISOLATED{" "}
      <span>
        since <When at={since} />
      </span>
    </span>
  );
}
