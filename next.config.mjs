// What every answer carries. Pages get their content security policy from proxy.ts, because each has a nonce of its own.
const HEADERS = [
  { key: "X-Content-Type-Options", value: "nosniff" },
  { key: "Referrer-Policy", value: "no-referrer" },
  { key: "X-Frame-Options", value: "DENY" },
  { key: "Cross-Origin-Opener-Policy", value: "same-origin" },
  { key: "Cross-Origin-Resource-Policy", value: "same-origin" },
  {
    key: "Permissions-Policy",
    value:
      "camera=(), microphone=(), geolocation=(self), usb=(), serial=(), payment=(), display-capture=(), browsing-topics=()",
  },
];
/** Data is never a page: nothing in it may run, load or be framed. */
const DATA_POLICY = [
  {
    key: "Content-Security-Policy",
    value: "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
  },
];

/** @type {import("next").NextConfig} */
export default {
  reactStrictMode: true,
  poweredByHeader: false,
  // Types are checked by `npm test`; a start on a user's machine need not do it again.
  typescript: { ignoreBuildErrors: true },
  serverExternalPackages: [
    "better-auth",
    "@better-auth/passkey",
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
    "prom-client",
    "pino",
    "@opentelemetry/api",
  ],
  async headers() {
    return [
      { source: "/:path*", headers: HEADERS },
      { source: "/api/:path*", headers: DATA_POLICY },
      { source: "/icon.svg", headers: DATA_POLICY },
    ];
  },
};
