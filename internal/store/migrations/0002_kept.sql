-- What is kept beside the readings: the facts of a lamp that no meter tells
-- (face, use distance, claim, interest), saved views of a comparison, and the
-- season with its queue. One JSON document each.

CREATE TABLE kept (
  id       INTEGER PRIMARY KEY,
  kind     TEXT NOT NULL CHECK (kind IN ('facts', 'view', 'season')),
  slug     TEXT NOT NULL CHECK (slug <> ''),  -- of facts: the lamp's
  name     TEXT NOT NULL DEFAULT '',
  document TEXT NOT NULL CHECK (json_valid(document)),
  created  TEXT NOT NULL,
  changed  TEXT NOT NULL,
  UNIQUE (kind, slug)
) STRICT;
