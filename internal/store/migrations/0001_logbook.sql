-- The first form of the logbook. docs/logbook.md describes it for people who
-- read it with another program.
--
-- Times are UTC text, 2026-11-25T05:12:57Z. Documents are TOML or JSON as
-- text. Blobs of numbers are IEEE 754 doubles, little-endian.

CREATE TABLE lamp (
  id       INTEGER PRIMARY KEY,
  slug     TEXT NOT NULL UNIQUE CHECK (slug <> ''),
  name     TEXT NOT NULL,
  origin   TEXT NOT NULL CHECK (origin IN ('own', 'bought', 'lent', 'check')),
  maker    TEXT NOT NULL DEFAULT '',
  price    TEXT NOT NULL DEFAULT '',           -- '149.00 EUR', '' when not known
  created  TEXT NOT NULL,
  archived TEXT                                -- when it was put away; NULL: in use
) STRICT;

-- A design has revisions; none is ever changed.
CREATE TABLE lamp_revision (
  id       INTEGER PRIMARY KEY,
  lamp_id  INTEGER NOT NULL REFERENCES lamp (id),
  revision INTEGER NOT NULL CHECK (revision >= 1),
  document TEXT NOT NULL,                      -- *.lamp.toml; '' for a bought lamp
  created  TEXT NOT NULL,
  note     TEXT NOT NULL DEFAULT '',
  UNIQUE (lamp_id, revision)
) STRICT;

-- A unit is a lamp that exists.
CREATE TABLE unit (
  id       INTEGER PRIMARY KEY,
  lamp_id  INTEGER NOT NULL REFERENCES lamp (id),
  revision INTEGER NOT NULL,
  serial   TEXT NOT NULL CHECK (serial <> ''),
  built    TEXT NOT NULL DEFAULT '',           -- date
  note     TEXT NOT NULL DEFAULT '',
  created  TEXT NOT NULL,
  UNIQUE (lamp_id, serial),
  FOREIGN KEY (lamp_id, revision) REFERENCES lamp_revision (lamp_id, revision)
) STRICT;

CREATE TABLE unit_event (
  id       INTEGER PRIMARY KEY,
  unit_id  INTEGER NOT NULL REFERENCES unit (id),
  at       TEXT NOT NULL,
  kind     TEXT NOT NULL CHECK (kind IN ('as-built', 'repair', 'changed', 'retired')),
  path     TEXT NOT NULL DEFAULT '',           -- what differs from the document, dotted
  value    TEXT NOT NULL DEFAULT '',
  note     TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX unit_event_of ON unit_event (unit_id, at);

CREATE TABLE brief (
  id       INTEGER PRIMARY KEY,
  slug     TEXT NOT NULL UNIQUE CHECK (slug <> ''),
  name     TEXT NOT NULL,
  document TEXT NOT NULL,                      -- *.brief.toml
  created  TEXT NOT NULL,
  changed  TEXT NOT NULL
) STRICT;

-- Parts lie in layers over the built-in catalogue, lowest position first.
CREATE TABLE layer (
  id       INTEGER PRIMARY KEY,
  slug     TEXT NOT NULL UNIQUE CHECK (slug <> ''),
  name     TEXT NOT NULL,
  position INTEGER NOT NULL,
  document TEXT NOT NULL,                      -- *.parts.toml, or JSON with uncertainty terms
  origin   TEXT NOT NULL DEFAULT '',           -- 'file', 'bench', 'reconciled'
  created  TEXT NOT NULL,
  changed  TEXT NOT NULL
) STRICT;

-- An instrument has a row for every calibration or change.
CREATE TABLE instrument (
  id       INTEGER PRIMARY KEY,
  slug     TEXT NOT NULL CHECK (slug <> ''),
  revision INTEGER NOT NULL CHECK (revision >= 1),
  kind     TEXT NOT NULL,
  document TEXT NOT NULL CHECK (json_valid(document)),
  created  TEXT NOT NULL,
  UNIQUE (slug, revision)
) STRICT;

-- A run is what was read in one go.
CREATE TABLE run (
  id            INTEGER PRIMARY KEY,
  name          TEXT NOT NULL UNIQUE CHECK (name <> ''),
  lamp_id       INTEGER NOT NULL REFERENCES lamp (id),
  unit_id       INTEGER REFERENCES unit (id),
  instrument_id INTEGER REFERENCES instrument (id),
  kind          TEXT NOT NULL,
  taken         TEXT NOT NULL DEFAULT '',      -- when it was read, as noted
  distance_m    REAL,
  document      TEXT NOT NULL CHECK (json_valid(document)), -- the run without its spectra
  note          TEXT NOT NULL DEFAULT '',
  imported      TEXT NOT NULL,
  program       TEXT NOT NULL,                 -- that imported it
  withdrawn     TEXT                           -- why it no longer counts; NULL: it counts
) STRICT;
CREATE INDEX run_of_lamp ON run (lamp_id, taken);

-- The files as they came from the meter, byte for byte.
CREATE TABLE raw (
  id       INTEGER PRIMARY KEY,
  run_id   INTEGER NOT NULL REFERENCES run (id),
  name     TEXT NOT NULL,
  sha256   BLOB NOT NULL CHECK (length(sha256) = 32),
  bytes    BLOB NOT NULL
) STRICT;
CREATE INDEX raw_of_run ON raw (run_id);
CREATE INDEX raw_by_sum ON raw (sha256);

CREATE TRIGGER raw_is_never_altered BEFORE UPDATE ON raw
BEGIN SELECT RAISE(ABORT, 'raw readings are never altered'); END;
CREATE TRIGGER raw_is_never_deleted BEFORE DELETE ON raw
BEGIN SELECT RAISE(ABORT, 'raw readings are never deleted; withdraw the run'); END;

-- The spectra of a run: 401 doubles each, 380 to 780 nm at 1 nm.
CREATE TABLE spectrum (
  id      INTEGER PRIMARY KEY,
  run_id  INTEGER NOT NULL REFERENCES run (id),
  role    TEXT NOT NULL CHECK (role IN ('light', 'before', 'after', 'lamp')),
  n       INTEGER NOT NULL,                    -- 0, 1, 2 …
  t_s     REAL,                                -- since the run began; NULL: no times
  samples BLOB NOT NULL CHECK (length(samples) = 3208),
  UNIQUE (run_id, role, n)
) STRICT;

-- What was worked out of a run. Made anew whenever wanted.
CREATE TABLE record (
  run_id   INTEGER PRIMARY KEY REFERENCES run (id),
  document TEXT NOT NULL CHECK (json_valid(document)),
  program  TEXT NOT NULL,
  computed TEXT NOT NULL
) STRICT;

-- What was worked out of a design.
CREATE TABLE prediction (
  id          INTEGER PRIMARY KEY,
  revision_id INTEGER NOT NULL UNIQUE REFERENCES lamp_revision (id),
  document    TEXT NOT NULL CHECK (json_valid(document)),
  program     TEXT NOT NULL,
  computed    TEXT NOT NULL
) STRICT;

-- The numbers of records and predictions, one a row, for lists.
CREATE TABLE result (
  id          INTEGER PRIMARY KEY,
  run_id      INTEGER REFERENCES run (id),
  revision_id INTEGER REFERENCES lamp_revision (id),
  key         TEXT NOT NULL,                   -- the measure, as in JSON results
  value       REAL NOT NULL,                   -- in the unit of the measure
  u           REAL NOT NULL,                   -- its standard uncertainty
  bound       TEXT NOT NULL DEFAULT 'estimate' CHECK (bound IN ('estimate', 'at least', 'at most')),
  distance_m  REAL,
  CHECK ((run_id IS NULL) <> (revision_id IS NULL))
) STRICT;
CREATE INDEX result_of_run ON result (run_id) WHERE run_id IS NOT NULL;
CREATE INDEX result_of_revision ON result (revision_id) WHERE revision_id IS NOT NULL;
CREATE INDEX result_by_key ON result (key, run_id, value, u, bound, distance_m);

CREATE TABLE plan (
  id       INTEGER PRIMARY KEY,
  slug     TEXT NOT NULL UNIQUE CHECK (slug <> ''),
  name     TEXT NOT NULL,
  document TEXT NOT NULL,
  program  TEXT NOT NULL,
  created  TEXT NOT NULL,
  changed  TEXT NOT NULL
) STRICT;

-- Editions are what was published; they stay as they were.
CREATE TABLE edition (
  id        INTEGER PRIMARY KEY,
  slug      TEXT NOT NULL CHECK (slug <> ''),
  number    INTEGER NOT NULL CHECK (number >= 1),
  title     TEXT NOT NULL,
  media     TEXT NOT NULL,                     -- 'text/html', 'application/pdf'
  sha256    BLOB NOT NULL CHECK (length(sha256) = 32),
  bytes     BLOB NOT NULL,
  program   TEXT NOT NULL,
  published TEXT NOT NULL,
  UNIQUE (slug, number)
) STRICT;
CREATE TRIGGER edition_is_never_altered BEFORE UPDATE ON edition
BEGIN SELECT RAISE(ABORT, 'a published edition is never altered; publish the next number'); END;

-- Notes and pictures belong to anything, named as 'lamp oulu-first'.
CREATE TABLE note (
  id    INTEGER PRIMARY KEY,
  about TEXT NOT NULL CHECK (about IN ('lamp', 'unit', 'run', 'brief', 'instrument', 'edition', 'plan')),
  ref   TEXT NOT NULL,
  at    TEXT NOT NULL,
  text  TEXT NOT NULL
) STRICT;
CREATE INDEX note_of ON note (about, ref);

CREATE TABLE picture (
  id      INTEGER PRIMARY KEY,
  about   TEXT NOT NULL CHECK (about IN ('lamp', 'unit', 'run', 'brief', 'instrument', 'edition', 'plan')),
  ref     TEXT NOT NULL,
  name    TEXT NOT NULL,
  media   TEXT NOT NULL,
  caption TEXT NOT NULL DEFAULT '',
  sha256  BLOB NOT NULL CHECK (length(sha256) = 32),
  bytes   BLOB NOT NULL,
  added   TEXT NOT NULL
) STRICT;
CREATE INDEX picture_of ON picture (about, ref);
