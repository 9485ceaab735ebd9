import { wideBy } from "@/app/_ui/placed.ts";

export default function Loading() {
  return (
    <div role="status" aria-label="Loading">
      {[40, 90, 95, 88, 92, 70].map((width) => (
        <div key={width} className={`skeleton ${wideBy(width)}`} />
      ))}
    </div>
  );
}
