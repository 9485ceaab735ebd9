/**
 * What decides a site's place in the queue, as SQL terms that all ascend; then comes the site's own name. An index holds standings
 * by just these terms.
 * @param of name of the standing's row in the query
 */
export const queueKey = (of: string): string => `${of}.urgency_order,
  coalesce(CASE WHEN ${of}.visit_cost > 0 THEN -${of}.expected_loss_avoided / ${of}.visit_cost ELSE 0 END, '-infinity'),
  coalesce(-${of}.expected_loss, '-infinity')`;
