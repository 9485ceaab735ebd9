// One fleet and its plans, by subject in this order.
import "./plans/make-and-change.ts";
import "./plans/what-holds-a-plan-back.ts";
import "./plans/confirm-and-replan.ts";
