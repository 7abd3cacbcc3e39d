-- Version 3. Never edited: what comes later is a migration of its own.

-- Devices that joined the desk. The token itself is with the device alone.
CREATE TABLE device (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL,
  token TEXT NOT NULL UNIQUE,         -- SHA-256
  joined_ms INTEGER NOT NULL,
  forgotten_ms INTEGER
) STRICT;

-- Changes that devices sent, by the mark each gave its own: one that comes again after its answer was lost
-- changes nothing. The newest few of a device and document are kept.
CREATE TABLE taken (
  id INTEGER PRIMARY KEY,
  device_id INTEGER NOT NULL REFERENCES device (id),
  document_id INTEGER NOT NULL REFERENCES document (id) ON DELETE CASCADE,
  mark TEXT NOT NULL,
  UNIQUE (device_id, document_id, mark)
) STRICT;
