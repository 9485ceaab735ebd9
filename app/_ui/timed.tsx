import { When } from "./when.tsx";

/** Stands in a sentence for a moment that `Timed` puts there. */
export const MOMENT = "\u2063";

/** A sentence of the words with a moment in it, in the site's zone or UTC and with the viewer's on hover. */
export function Timed({ says, at }: { says: string; at: string }) {
  const [before, ...after] = says.split(MOMENT);
  return (
    <>
      {before}
      <When at={at} />
      {after.join("")}
    </>
  );
}
