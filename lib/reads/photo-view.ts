import "server-only";
import type { KeptPhoto } from "../store/visit-log.ts";
import type { PhotoView } from "./visits-view.ts";

/** A stored photo as pages show it. */
export function photoView({ photoId, item, takenAt, latitude, longitude }: KeptPhoto): PhotoView {
  return {
    ...{ photoId, item, takenAt: takenAt === null ? null : new Date(takenAt).toISOString() },
    position: latitude === null || longitude === null ? null : { latitude, longitude },
  };
}
