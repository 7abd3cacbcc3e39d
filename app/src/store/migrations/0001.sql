-- Version 1. Never edited: what comes later is a migration of its own.

-- ------------------------------------------------------------- documents, every revision

CREATE TABLE job (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  made_ms INTEGER NOT NULL,
  erased_ms INTEGER
) STRICT;

CREATE TABLE document (
  id INTEGER PRIMARY KEY,
  job_id INTEGER NOT NULL REFERENCES job (id),
  path TEXT NOT NULL,
  UNIQUE (job_id, path)
) STRICT;

-- Bytes once a job: a picture in two visits, or text that came back by an undo, is kept once.
CREATE TABLE content (
  id INTEGER PRIMARY KEY,
  job_id INTEGER NOT NULL REFERENCES job (id),
  hash TEXT NOT NULL,
  bytes BLOB NOT NULL,
  UNIQUE (job_id, hash)
) STRICT;

-- A chain without branches: the current one is the last. No content: the document was removed.
CREATE TABLE revision (
  id INTEGER PRIMARY KEY,
  document_id INTEGER NOT NULL REFERENCES document (id),
  number INTEGER NOT NULL CHECK (number >= 1),
  parent INTEGER,                     -- number of the one before
  base INTEGER,                       -- number of the one the edit was made on
  content_id INTEGER REFERENCES content (id),
  hash TEXT,
  size INTEGER NOT NULL,
  made_ms INTEGER NOT NULL,
  author TEXT NOT NULL,
  device TEXT NOT NULL,
  what TEXT NOT NULL CHECK (what IN ('put', 'edit', 'merge', 'undo', 'remove')),
  undoes INTEGER,                     -- number of the one taken back
  operations TEXT CHECK (operations IS NULL OR json_valid(operations)),
  UNIQUE (document_id, number),
  CHECK (parent IS CASE WHEN number = 1 THEN NULL ELSE number - 1 END)
) STRICT;
CREATE INDEX revision_content ON revision (content_id);

-- Edits that met another one on the same field: kept here until somebody has settled them.
CREATE TABLE conflict (
  id INTEGER PRIMARY KEY,
  document_id INTEGER NOT NULL REFERENCES document (id),
  base INTEGER,
  against INTEGER NOT NULL,
  fields TEXT NOT NULL CHECK (json_valid(fields)),
  content_id INTEGER REFERENCES content (id),   -- the whole document as the second would have it
  made_ms INTEGER NOT NULL,
  author TEXT NOT NULL,
  device TEXT NOT NULL,
  settled_ms INTEGER
) STRICT;
CREATE INDEX conflict_content ON conflict (content_id);

-- Folders that a job was put from or given out to, and on which revisions they stand.
CREATE TABLE copy (
  job_id INTEGER NOT NULL REFERENCES job (id),
  folder TEXT NOT NULL,
  path TEXT NOT NULL,
  number INTEGER NOT NULL,
  PRIMARY KEY (job_id, folder, path)
) STRICT, WITHOUT ROWID;

-- What was erased at somebody's request; the bytes are gone.
CREATE TABLE tombstone (
  id INTEGER PRIMARY KEY,
  job_id INTEGER NOT NULL REFERENCES job (id),
  kind TEXT NOT NULL CHECK (kind IN ('document', 'series')),
  what TEXT NOT NULL,
  hash TEXT NOT NULL,
  erased_ms INTEGER NOT NULL,
  asked_by TEXT NOT NULL
) STRICT;

-- ------------------------------------------------------------- series

-- All six must be told before its first reading counts.
CREATE TABLE source (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  job_id INTEGER REFERENCES job (id),
  instrument TEXT,
  place TEXT,
  quantity TEXT,
  unit TEXT,
  basis TEXT,
  made_ms INTEGER NOT NULL,
  -- Whether levels begin at one minute: only where readings come faster than every 15 s.
  fine INTEGER NOT NULL DEFAULT 0 CHECK (fine IN (0, 1)),
  complete INTEGER NOT NULL GENERATED ALWAYS AS (
    job_id IS NOT NULL AND instrument IS NOT NULL AND place IS NOT NULL
    AND quantity IS NOT NULL AND unit IS NOT NULL AND basis IS NOT NULL) STORED
) STRICT;

-- arrival 0 counts; later ones said something else of the same moment and carry flag 1.
CREATE TABLE point (
  source_id INTEGER NOT NULL REFERENCES source (id),
  time_ms INTEGER NOT NULL,
  arrival INTEGER NOT NULL DEFAULT 0,
  value REAL NOT NULL,
  flags INTEGER NOT NULL DEFAULT 0,
  PRIMARY KEY (source_id, time_ms, arrival)
) STRICT, WITHOUT ROWID;

-- Aggregates of the points that count: level k has cells of 16^k minutes, start is their number.
CREATE TABLE level (
  source_id INTEGER NOT NULL REFERENCES source (id),
  level INTEGER NOT NULL,
  start INTEGER NOT NULL,
  count INTEGER NOT NULL,
  sum REAL NOT NULL,
  min REAL NOT NULL,
  max REAL NOT NULL,
  PRIMARY KEY (source_id, level, start)
) STRICT, WITHOUT ROWID;

-- Readings of a source that is not described yet, as they came, in the unit of the instrument.
CREATE TABLE held (
  id INTEGER PRIMARY KEY,
  source_id INTEGER NOT NULL REFERENCES source (id),
  time_ms INTEGER NOT NULL,
  value REAL NOT NULL,
  flags INTEGER NOT NULL,
  arrived_ms INTEGER NOT NULL,
  UNIQUE (source_id, time_ms, value)
) STRICT;

-- Messages of live sources, verbatim.
CREATE TABLE raw (
  id INTEGER PRIMARY KEY,
  source_id INTEGER REFERENCES source (id),
  channel TEXT NOT NULL,
  payload BLOB NOT NULL,
  arrived_ms INTEGER NOT NULL,
  device_ms INTEGER,
  parser TEXT NOT NULL
) STRICT;
CREATE INDEX raw_source ON raw (source_id, arrived_ms);

-- ------------------------------------------------------------- watch

CREATE TABLE event (
  id INTEGER PRIMARY KEY,
  job_id INTEGER NOT NULL REFERENCES job (id),
  kind TEXT NOT NULL,
  about TEXT NOT NULL DEFAULT '',     -- place or device: tells apart what begins at one moment
  start_ms INTEGER NOT NULL,
  end_ms INTEGER CHECK (end_ms IS NULL OR end_ms >= start_ms),   -- nothing while it lasts
  causes TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(causes)),
  quantity TEXT,
  value REAL,
  lo REAL,
  hi REAL,
  level REAL,
  made_ms INTEGER NOT NULL,
  UNIQUE (job_id, kind, about, start_ms)
) STRICT;
CREATE INDEX event_time ON event (job_id, start_ms);

CREATE TABLE event_source (
  event_id INTEGER NOT NULL REFERENCES event (id) ON DELETE CASCADE,
  source_id INTEGER NOT NULL REFERENCES source (id),
  PRIMARY KEY (event_id, source_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE alert (
  id INTEGER PRIMARY KEY,
  event_id INTEGER NOT NULL REFERENCES event (id) ON DELETE CASCADE,
  kind TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('open', 'seen', 'over')),
  made_ms INTEGER NOT NULL,
  changed_ms INTEGER NOT NULL,
  changed_by TEXT NOT NULL DEFAULT '',
  UNIQUE (event_id, kind)
) STRICT;
CREATE INDEX alert_state ON alert (state, made_ms);

-- A message leaves once: `key` tells a second try to write the same one.
CREATE TABLE outbox (
  id INTEGER PRIMARY KEY,
  alert_id INTEGER REFERENCES alert (id) ON DELETE CASCADE,
  key TEXT NOT NULL UNIQUE,
  channel TEXT NOT NULL,
  payload BLOB NOT NULL,
  attempts INTEGER NOT NULL DEFAULT 0,
  next_ms INTEGER NOT NULL,
  sent_ms INTEGER,
  last_error TEXT
) STRICT;
CREATE INDEX outbox_due ON outbox (next_ms) WHERE sent_ms IS NULL;

-- ------------------------------------------------------------- results

-- Derived; may be deleted. Without a body: inputs of it were erased.
CREATE TABLE result (
  id INTEGER PRIMARY KEY,
  job_id INTEGER NOT NULL REFERENCES job (id),
  request TEXT NOT NULL,
  inputs TEXT NOT NULL,
  program TEXT NOT NULL,
  body BLOB,
  made_ms INTEGER NOT NULL,
  state TEXT NOT NULL DEFAULT 'fresh' CHECK (state IN ('fresh', 'stale', 'erased')),
  UNIQUE (job_id, request, inputs, program)
) STRICT;
