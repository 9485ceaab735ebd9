"use client";
import { SHRINK_PHOTO } from "@/app/_words/ui.ts";

const LONGEST_PX = 1600;
/** From here on a picture that cannot be opened is most likely too large for the phone's memory. */
const LARGE_BYTES = 10_000_000;

/**
 * A smaller JPEG of a photo. Drawing it anew leaves out all that the camera wrote into the file, its position too.
 * @throws Error when the browser cannot read the picture
 */
export async function shrinkPhoto(file: Blob): Promise<Blob> {
  const picture = await createImageBitmap(file).catch(() => {
    if (file.size < LARGE_BYTES) throw new Error(SHRINK_PHOTO.thisFileIsNot);
    const mb = Math.round(file.size / 1e6);
    throw new Error(SHRINK_PHOTO.thisPhotoHasMb(mb));
  });
  const scale = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((resolve, reject) =>
    canvas.toBlob(
      (blob) => (blob ? resolve(blob) : reject(new Error(SHRINK_PHOTO.thePhotoCouldNot))),
      "image/jpeg",
      0.8,
    ),
  );
}

/** Where the phone is, if it may say so and knows within a few seconds. */
export function positionNow(): Promise<{ latitude: number; longitude: number } | null> {
  return new Promise((resolve) => {
    if (!navigator.geolocation) resolve(null);
    else
      navigator.geolocation.getCurrentPosition(
        ({ coords }) => resolve({ latitude: coords.latitude, longitude: coords.longitude }),
        () => resolve(null),
        { timeout: 4_000, maximumAge: 60_000 },
      );
  });
}
