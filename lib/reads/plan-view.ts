import type { PlanDocument } from "./documents.ts";

/** A plan with the names that people know sites and crews by. */
export interface PlanView extends PlanDocument {
  siteNames: Record<string, string>;
  crewNames: Record<string, string>;
  currency: string;
  /** Sites whose roof work no forecast covers. */
  withoutForecast: string[];
  /** Since when sites are locked out, ISO, by site. */
  isolated: Record<string, string>;
  urgency: Record<string, "make_safe" | "urgent" | "planned">;
}
