-- Workers on several hosts share one queue, and uploaded files lie on the host that took them: which data folder holds them.
-- Null: files of the command line's own, or an upload of an earlier release.
ALTER TABLE import_drop ADD COLUMN held_at text;
