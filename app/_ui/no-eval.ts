import { z } from "zod";

// In a browser the page's policy forbids code made from text. The library would try once, and the try is reported as an
// offence against the policy. Imported before whatever makes a schema.
if (typeof window !== "undefined") z.config({ jitless: true });
