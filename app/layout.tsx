import "@fontsource-variable/inter";
import "./globals.css";
import "./_ui/places.css";
import type { Metadata } from "next";
import type { ReactNode } from "react";

// A page made at build time could not carry the nonce of its own answer.
export const dynamic = "force-dynamic";

export const metadata: Metadata = {
  title: { default: "Raintrip", template: "%s · Raintrip" },
  description: "Which PV sites trip with the rain because their metal is not bonded",
};

export default function RootLayout({ children }: { children: ReactNode }) {
  return (
    <html lang="en">
      <body>{children}</body>
    </html>
  );
}
