import { handleSignIn } from "@/lib/writes/sign-in.ts";

export const dynamic = "force-dynamic";

export const GET = handleSignIn;
export const POST = handleSignIn;
