-- A log with wild times (a clock that was never set, a mistyped year) must not make a partition for every month from 1970
-- to 2099: each query would then lock them all, and the server's table of locks is finite. Months before 2005 and months
-- to come share one partition.
CREATE TABLE fault_outlying PARTITION OF fault DEFAULT;

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
  EXECUTE format('CREATE TABLE %I PARTITION OF fault FOR VALUES FROM (%L) TO (%L)',
                 v_name, v_from::text || ' 00:00:00+00', v_to::text || ' 00:00:00+00');
EXCEPTION
  -- Rows of this month came while it was still to come: they and those that follow stay where they are.
  WHEN check_violation THEN RETURN;
END $$;

-- Whether the database is of this release is asked by the application too, before it says that it is ready.
DO $$ BEGIN
  IF to_regclass('public._prisma_migrations') IS NOT NULL THEN
    GRANT SELECT ON _prisma_migrations TO raintrip_app;
  END IF;
END $$;
