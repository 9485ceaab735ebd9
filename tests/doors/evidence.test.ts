// One site's evidence file: how it is made, what its summary says, what verifying it finds.
import "./evidence/make.ts";
import "./evidence/summary.ts";
import "./evidence/verify.ts";
