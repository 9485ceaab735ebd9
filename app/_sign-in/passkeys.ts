"use client";

import { passkeyClient } from "@better-auth/passkey/client";
import { createAuthClient } from "better-auth/client";

/** The browser's half of passkeys; everything else goes through `post`, which every page can have without this library. */
export const passkeys = createAuthClient({ plugins: [passkeyClient()] });
