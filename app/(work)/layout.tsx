import type { ReactNode } from "react";
import { MainNav } from "../_ui/main-nav.tsx";
import { Providers } from "../_ui/providers.tsx";

export default function WorkLayout({ children }: { children: ReactNode }) {
  return (
    <Providers>
      <header className="top">
        <a className="mark" href="/sites">
          Raintrip
        </a>
        <MainNav />
      </header>
      <main className="body">{children}</main>
      <footer className="foot">
        <p>
          Treat all metal as live: PV conductors cannot be switched off in light. Measure before touching. Raintrip
          never calls a site safe; a qualified person, licensed practice and the local authority decide.
        </p>
      </footer>
    </Providers>
  );
}
