import "@fontsource-variable/inter";
import "./globals.css";
import "./_ui/places.css";
import type { Metadata } from "next";
import type { ReactNode } from "react";
import { SHARED } from "@/app/_words/shared.ts";

// A page made at build time could not carry the nonce of its own answer.
export const dynamic = "force-dynamic";

export const metadata: Metadata = {
  title: { default: SHARED.product, template: `%s · ${SHARED.product}` },
  description: SHARED.promise,
};

export default function RootLayout({ children }: { children: ReactNode }) {
  return (
    <html lang="en">
      <body>{children}</body>
    </html>
  );
}
