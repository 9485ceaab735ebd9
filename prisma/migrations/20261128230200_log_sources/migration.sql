-- The inverters that share a log with those of one site.
CREATE INDEX inverter_source ON inverter (account_id, log_source, site_id, inverter_id);
