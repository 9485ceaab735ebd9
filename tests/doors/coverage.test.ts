// One fleet and its contracts, by subject in this order: each goes on from what the one before left.
import "./coverage/register.ts";
import "./coverage/claim.ts";
import "./coverage/links-and-report.ts";
import "./coverage/archive-and-end.ts";
import "./coverage/register-and-books.ts";
