-- The spreader and the mix that a plot is worked with. The program empties
-- them, with a new revision of the plot, before the spreader or the mix goes.
ALTER TABLE plots ADD COLUMN spreader_id TEXT REFERENCES spreaders (id) ON DELETE SET NULL;
ALTER TABLE plots ADD COLUMN mix_id TEXT REFERENCES mixes (id) ON DELETE SET NULL;
CREATE INDEX plots_by_spreader ON plots (spreader_id);
CREATE INDEX plots_by_mix ON plots (mix_id);
