const HEADERS = [
  { key: "X-Content-Type-Options", value: "nosniff" },
  { key: "Referrer-Policy", value: "no-referrer" },
  { key: "X-Frame-Options", value: "DENY" },
  { key: "Permissions-Policy", value: "camera=(), microphone=(), geolocation=(self)" },
];

/** @type {import("next").NextConfig} */
export default {
  reactStrictMode: true,
  poweredByHeader: false,
  // Types are checked by `npm test`; a start on a user's machine need not do it again.
  typescript: { ignoreBuildErrors: true },
  serverExternalPackages: [
    "pg",
    "postgres",
    "pg-boss",
    "@prisma/client",
    "@prisma/adapter-pg",
    "busboy",
    "highs",
    "pdf-lib",
    "@pdf-lib/fontkit",
    "sharp",
    "temporal-polyfill",
  ],
  async headers() {
    return [{ source: "/:path*", headers: HEADERS }];
  },
};
