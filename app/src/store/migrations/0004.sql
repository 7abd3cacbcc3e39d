-- Version 4. Never edited: what comes later is a migration of its own.

-- How the watch stands beside its bands and events, as JSON of numbers: nights, filters, what is owed. Made of its memory.
ALTER TABLE watched ADD COLUMN standing BLOB;
-- What it remembered a day and two ago, as JSON, so that hours whose readings come late can be judged again.
ALTER TABLE watched ADD COLUMN back BLOB;

-- What the rules over live readings remember, and what they would have set, as JSON.
CREATE TABLE ruled (
  job_id INTEGER PRIMARY KEY REFERENCES job (id),
  inputs TEXT NOT NULL,               -- hash of the rules as they were understood
  until_ms INTEGER NOT NULL,          -- the last look
  body BLOB NOT NULL,
  standing BLOB NOT NULL,
  made_ms INTEGER NOT NULL
) STRICT;
