import { wideBy } from "@/app/_ui/placed.ts";
import { SHARED } from "@/app/_words/shared.ts";

export default function Loading() {
  return (
    <div className="loading" role="status" aria-label={SHARED.loading}>
      {[40, 90, 95, 88, 92, 70].map((width) => (
        <div key={width} className={`skeleton ${wideBy(width)}`} />
      ))}
    </div>
  );
}
