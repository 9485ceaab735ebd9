import { SENT_PICTURE } from "@/app/_words/ui.ts";
import type { PhotoView } from "@/lib/reads/visits-view.ts";
import { MOMENT, Timed } from "./timed.tsx";

/** A photo that the server holds, as a link to the whole picture. */
export function SentPicture({ photo, label }: { photo: PhotoView; label?: string }) {
  const { photoId, takenAt, position } = photo;
  const where = position ? `, at ${position.latitude.toFixed(5)}, ${position.longitude.toFixed(5)}` : "";
  return (
    <li>
      <a href={`/api/visits/photos/${photoId}`}>
        <img src={`/api/visits/photos/${photoId}`} alt={label ?? SENT_PICTURE.photo} loading="lazy" />
      </a>
      <span className="soft">
        {label ? `${label}, ` : ""}
        {takenAt ? <Timed says={SENT_PICTURE.taken(MOMENT)} at={takenAt} /> : SENT_PICTURE.timeNotKept}
        {where}
      </span>
    </li>
  );
}
