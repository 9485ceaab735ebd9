import type { PlanDocument } from "./documents.ts";

/** A plan with the names that people know sites and crews by. */
export interface PlanView extends PlanDocument {
  siteNames: Record<string, string>;
  crewNames: Record<string, string>;
  currency: string;
  /** Sites whose roof work no forecast covers. */
  withoutForecast: string[];
  urgency: Record<string, "make_safe" | "urgent" | "planned">;
}
