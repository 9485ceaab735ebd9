import "server-only";
import { type Actor, LOCAL_ACTOR } from "../store/actor.ts";

/** Who asks. Until sign-in exists there is one named person, and the server answers on loopback only. */
export async function currentActor(): Promise<Actor> {
  return LOCAL_ACTOR;
}
