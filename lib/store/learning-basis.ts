import { z } from "zod";
import { CAUSES } from "../core/records.ts";
import { CONFIGURATIONS } from "../diagnose/configurations.ts";
import { type EventBasis, packLogWeights, unpackLogWeights } from "../diagnose/event-basis.ts";
import { RATE_STATES } from "../diagnose/parameters.ts";

const Counts = z.array(z.number()).length(RATE_STATES.length);
const StoredBasis = z
  .object({
    units: z.number(),
    detector: z.number(),
    overdispersion: z.number(),
    phases: z.array(z.object({ unitHours: Counts, onsets: Counts, certain: z.array(z.enum(CAUSES)) })),
    elsewhere: z.string(),
  })
  .transform(({ elsewhere, ...rest }): EventBasis | null => {
    const logs = unpackLogWeights(elsewhere);
    // Kept by a program that told other configurations apart.
    return logs.length === CONFIGURATIONS.length ? { ...rest, elsewhere: logs } : null;
  });

/** A basis as it is kept beside its score. */
export function storedBasis({ elsewhere, phases, ...rest }: EventBasis): unknown {
  const short = (x: number) => Math.round(x * 100) / 100;
  return {
    ...rest,
    phases: phases.map((p) => ({ ...p, unitHours: p.unitHours.map(short) })),
    elsewhere: packLogWeights(elsewhere),
  };
}

export const LearningBasis = StoredBasis.nullable();
