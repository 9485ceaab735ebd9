import type { ReactNode } from "react";
import { signedIn } from "@/lib/reads/actor.ts";
import { SignOutButton } from "../_sign-in/sign-out-button.tsx";
import { MainNav } from "../_ui/main-nav.tsx";
import { Providers } from "../_ui/providers.tsx";
import { RoleProvider } from "../_ui/role.tsx";
import { UnitsProvider } from "../_ui/units.tsx";

export default async function WorkLayout({ children }: { children: ReactNode }) {
  const { actor, name, isDemo, units } = await signedIn();
  return (
    <Providers>
      <RoleProvider role={actor.role}>
        <header className="top">
          <a className="mark" href="/sites">
            Raintrip
          </a>
          <MainNav role={actor.role} />
          <p className="who">
            <a href="/you">{name}</a>
            <span className="soft"> {isDemo ? "invented person of the demo" : actor.role}</span> <SignOutButton />
          </p>
        </header>
        <main className="body">
          <UnitsProvider units={units}>{children}</UnitsProvider>
        </main>
        <footer className="foot">
          <p>
            Treat all metal as live: PV conductors cannot be switched off in light. Measure before touching. Raintrip
            never calls a site safe; a qualified person, licensed practice and the local authority decide.
          </p>
        </footer>
      </RoleProvider>
    </Providers>
  );
}
