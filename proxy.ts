import { randomBytes } from "node:crypto";
import { type NextRequest, NextResponse } from "next/server";
import { pagePolicy } from "./lib/core/page-policy.ts";

/** Gives each page a content security policy with a nonce of its own; Next puts the nonce on the scripts it writes. */
export function proxy(request: NextRequest): NextResponse {
  const nonce = randomBytes(18).toString("base64");
  const policy = pagePolicy(nonce, process.env.NODE_ENV === "development");
  const headers = new Headers(request.headers);
  headers.set("x-nonce", nonce);
  headers.set("content-security-policy", policy);
  const response = NextResponse.next({ request: { headers } });
  response.headers.set("content-security-policy", policy);
  return response;
}

export const config = {
  matcher: [{ source: "/((?!api/|_next/static|_next/image|icon.svg|sw.js|manifest.webmanifest).*)" }],
};
