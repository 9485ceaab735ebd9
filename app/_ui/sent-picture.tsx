import { utcTime } from "@/app/_ui/format.ts";
import { SENT_PICTURE } from "@/app/_words/ui.ts";
import type { PhotoView } from "@/lib/reads/visits-view.ts";

/** A photo that the server holds, as a link to the whole picture. */
export function SentPicture({ photo, label }: { photo: PhotoView; label?: string }) {
  const { photoId, takenAt, position } = photo;
  const when = takenAt ? `taken ${utcTime(takenAt)}` : SENT_PICTURE.timeNotKept;
  const where = position ? `, at ${position.latitude.toFixed(5)}, ${position.longitude.toFixed(5)}` : "";
  return (
    <li>
      <a href={`/api/visits/photos/${photoId}`}>
        <img src={`/api/visits/photos/${photoId}`} alt={`${label ?? SENT_PICTURE.photo}, ${when}`} loading="lazy" />
      </a>
      <span className="soft">
        {label ? `${label}, ` : ""}
        {when}
        {where}
      </span>
    </li>
  );
}
