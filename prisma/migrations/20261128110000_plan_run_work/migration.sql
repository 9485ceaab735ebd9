-- A plan run may end in a draft: what is to become of it, how far it is, who asked to stop, and the plan it became.
ALTER TABLE plan_run
  -- {kind: draft | anew | rest, ...}; null: the plan as a document, for the API.
  ADD COLUMN work jsonb,
  -- The best so far in figures, and the step that the search is at.
  ADD COLUMN progress jsonb,
  -- Who asked to stop and keep the best; the worker ends it.
  ADD COLUMN stop_asked_by text,
  -- The draft that it became; gone with nothing but the plan itself.
  ADD COLUMN plan_id text;
