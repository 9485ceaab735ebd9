import type { MetadataRoute } from "next";
import { MANIFEST } from "@/app/_words/shell.ts";

export default function manifest(): MetadataRoute.Manifest {
  return {
    name: MANIFEST.raintripVisits,
    short_name: MANIFEST.raintrip,
    start_url: "/visits/today",
    display: "standalone",
    background_color: "#fbfaf7",
    theme_color: "#fbfaf7",
    icons: [{ src: "/icon.svg", sizes: "any", type: "image/svg+xml" }],
  };
}
