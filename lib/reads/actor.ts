import "server-only";
import { cookies, headers } from "next/headers";
import { redirect } from "next/navigation";
import { cache } from "react";
import { sessionCookie, signInSettings } from "../sign-in/settings.ts";
import { type SignedIn, whoHasSession } from "../sign-in/who-asks.ts";
import type { Actor } from "../store/actor.ts";

/** In this header the web server says which page was asked for, so that signing in leads back there. */
const PATH_HEADER = "x-raintrip-path";

/** Who is signed in; null: nobody. One query, and once a request however often it is asked. */
export const currentPerson = cache(async (): Promise<SignedIn | null> => {
  const { url, secret } = signInSettings();
  const cookie = (await cookies()).get(sessionCookie(url))?.value;
  return cookie ? whoHasSession(cookie, secret) : null;
});

/** Who asks for a page or a route of the pages. Without a session a page leads to the sign-in page, a route answers 401. */
export async function currentActor(): Promise<Actor> {
  return (await signedIn()).actor;
}

/** The same with the name. */
export async function signedIn(): Promise<SignedIn> {
  const person = await currentPerson();
  if (person) return person;
  const path = (await headers()).get(PATH_HEADER) ?? "/";
  redirect(path === "/" || path.startsWith("/api/") ? "/sign-in" : `/sign-in?to=${encodeURIComponent(path)}`);
}
