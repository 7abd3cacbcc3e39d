-- Version 2. Never edited: what comes later is a migration of its own.

-- All that the watch over a job remembers, written in one transaction with what it found.
CREATE TABLE watched (
  job_id INTEGER PRIMARY KEY REFERENCES job (id),
  inputs TEXT NOT NULL,               -- hash of the documents that its house was fitted from; empty without one
  until_ms INTEGER NOT NULL,          -- readings before this were taken
  body BLOB NOT NULL,
  made_ms INTEGER NOT NULL
) STRICT;

-- What a fitted house was expected to show, an hour a row, SI: mean, ends of the 95 % interval, and the standard
-- deviations that make it (draws of the fit, instrument, what is learned).
CREATE TABLE expected (
  source_id INTEGER NOT NULL REFERENCES source (id),
  hour_ms INTEGER NOT NULL,
  mean REAL NOT NULL,
  lo REAL NOT NULL,
  hi REAL NOT NULL,
  draws REAL NOT NULL,
  instrument REAL NOT NULL,
  learned REAL NOT NULL,
  PRIMARY KEY (source_id, hour_ms)
) STRICT, WITHOUT ROWID;

-- When an event was known: with its kind and what it is about it tells events of the watch apart, whose beginning may
-- still move.
ALTER TABLE event ADD COLUMN known_ms INTEGER;
CREATE UNIQUE INDEX event_known ON event (job_id, kind, about, known_ms) WHERE known_ms IS NOT NULL;

-- Alerts of this kind that are expected in a month of a house where nothing is the matter; nothing where no chance
-- is in it.
ALTER TABLE alert ADD COLUMN false_a_month REAL;

-- Messages without a reading, of which only the newest are kept.
CREATE INDEX raw_unread ON raw (arrived_ms, id) WHERE source_id IS NULL;
