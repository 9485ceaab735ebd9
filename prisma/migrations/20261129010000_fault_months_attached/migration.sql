-- An import stores rows of a log while it reads on, and meets new months on its way. Made as a table of its own and then
-- attached, a month waits for nobody who writes faults meanwhile: attaching asks for a weaker lock of `fault` than making a
-- partition of it, which would wait for the import that asked.
CREATE OR REPLACE FUNCTION ensure_fault_month(p_month date) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  v_from date := date_trunc('month', p_month)::date;
  v_to   date := (date_trunc('month', p_month) + interval '1 month')::date;
  v_name text := 'fault_' || to_char(v_from, 'YYYYMM');
BEGIN
  IF v_from < DATE '2005-01-01' OR v_from > (now() + interval '1 month')::date THEN RETURN; END IF;
  IF to_regclass('public.' || v_name) IS NOT NULL THEN RETURN; END IF;
  PERFORM pg_advisory_xact_lock(7207);
  IF to_regclass('public.' || v_name) IS NOT NULL THEN RETURN; END IF;
  EXECUTE format('CREATE TABLE %I (LIKE fault INCLUDING ALL)', v_name);
  EXECUTE format('ALTER TABLE fault ATTACH PARTITION %I FOR VALUES FROM (%L) TO (%L)',
                 v_name, v_from::text || ' 00:00:00+00', v_to::text || ' 00:00:00+00');
EXCEPTION
  -- Rows of this month came while it was still to come: they and those that follow stay where they are.
  WHEN check_violation THEN RETURN;
END $$;

-- Whose rows are written is asked once a statement, not once a row: a log has millions of them.
ALTER POLICY own_account ON fault WITH CHECK (account_id = (SELECT current_account()));
