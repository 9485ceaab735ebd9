/**
 * How many sites on watch are offered for a visit at random, so that what visits find is not known of suspicious sites
 * alone. They are a share of all visits made, never of the sites: a fleet with few visits is offered few.
 * @param queued visits in the queue
 * @param share of all visits, 0 to below 1
 * @param watched sites that could be drawn
 * @throws RangeError when share is not within its range
 */
export function auditCount(queued: number, share: number, watched: number): number {
  if (!(share >= 0 && share < 1)) throw new RangeError(`auditCount requires a share from 0 to below 1, got ${share}`);
  return Math.min(watched, Math.round((queued * share) / (1 - share)));
}
