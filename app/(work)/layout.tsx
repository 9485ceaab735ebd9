import type { ReactNode } from "react";
import { ROLE, SHARED } from "@/app/_words/shared.ts";
import type { Role } from "@/lib/core/permissions.ts";
import { signedIn } from "@/lib/reads/actor.ts";
import { SignOutButton } from "../_sign-in/sign-out-button.tsx";
import { MainNav, MenuButton } from "../_ui/main-nav.tsx";
import { MENU_ID } from "../_ui/menu-id.ts";
import { Providers } from "../_ui/providers.tsx";
import { RoleProvider } from "../_ui/role.tsx";
import { UnitsProvider } from "../_ui/units.tsx";

export default async function WorkLayout({ children }: { children: ReactNode }) {
  const { actor, name, isDemo, units } = await signedIn();
  return (
    <Providers>
      <RoleProvider role={actor.role}>
        <a className="skip no-print" href="#content">
          {SHARED.skip}
        </a>
        <header className="top">
          <a className="mark" href="/sites">
            {SHARED.product}
          </a>
          <MenuButton role={actor.role} />
          <div id={MENU_ID} className="menu" popover="auto">
            <MainNav role={actor.role} />
            <p className="who">
              <a href="/you">{name}</a>
              <span className="soft"> {isDemo ? SHARED.demoPerson : (ROLE[actor.role as Role] ?? actor.role)}</span>{" "}
              <SignOutButton />
            </p>
          </div>
        </header>
        <main className="body" id="content" tabIndex={-1}>
          <UnitsProvider units={units}>{children}</UnitsProvider>
        </main>
        <footer className="foot">
          <p>{SHARED.foot}</p>
        </footer>
      </RoleProvider>
    </Providers>
  );
}
