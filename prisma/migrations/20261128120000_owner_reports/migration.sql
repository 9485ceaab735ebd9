-- The owner of a book reads its monthly reports; until now only those who see the whole account did.
-- Bound already where this database was brought up to date before, not yet where it is made anew.
DROP POLICY IF EXISTS own_scope ON monthly_report;
CREATE POLICY own_scope ON monthly_report AS RESTRICTIVE
  USING ((SELECT sees_every_site()) OR ((SELECT acting_role()) = 'owner' AND portfolio = ANY ((SELECT acting_portfolios())::text[])))
  WITH CHECK ((SELECT sees_every_site()));
CREATE POLICY no_delete ON monthly_report AS RESTRICTIVE FOR DELETE USING ((SELECT may_write()));
