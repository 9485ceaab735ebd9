// Its own file, so that a page that uses it does not load the contract's schemas.
export { bareRule } from "../ingest/mapping/bare-rule.ts";
