import { utcTime } from "@/app/_ui/format.ts";
import type { PhotoView } from "@/lib/reads/visits-view.ts";

/** A photo that the server holds, as a link to the whole picture. */
export function SentPicture({ photo, label }: { photo: PhotoView; label?: string }) {
  const { photoId, takenAt, position } = photo;
  const when = takenAt ? `taken ${utcTime(takenAt)}` : "time not kept";
  const where = position ? `, at ${position.latitude.toFixed(5)}, ${position.longitude.toFixed(5)}` : "";
  return (
    <li>
      <a href={`/api/visits/photos/${photoId}`}>
        <img src={`/api/visits/photos/${photoId}`} alt={`${label ?? "Photo"}, ${when}`} loading="lazy" />
      </a>
      <span className="soft">
        {label ? `${label}, ` : ""}
        {when}
        {where}
      </span>
    </li>
  );
}
