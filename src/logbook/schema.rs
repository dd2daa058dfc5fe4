//! The tables, as steps from one version to the next. A step that has shipped is never changed.

/// The format that this program writes.
pub(super) const CURRENT: i64 = 4;

/// Marks the file as a log of this program ("BRML").
pub(super) const APPLICATION: i64 = 0x4252_4D4C;

/// What brings a file from the version of its place to the next one.
pub(super) const STEPS: [&str; 4] = [
    // 1: pools with their profiles, visits with everything that belongs to them.
    "CREATE TABLE pool (
       id INTEGER PRIMARY KEY, key TEXT NOT NULL UNIQUE, name TEXT NOT NULL UNIQUE COLLATE NOCASE,
       added INTEGER NOT NULL, added_offset INTEGER NOT NULL,
       retired INTEGER, retired_offset INTEGER) STRICT;
     CREATE TABLE profile (
       id INTEGER PRIMARY KEY, pool INTEGER NOT NULL REFERENCES pool(id), name TEXT NOT NULL,
       number REAL, word TEXT, given TEXT NOT NULL,
       since INTEGER NOT NULL, since_offset INTEGER NOT NULL, who TEXT NOT NULL, why TEXT NOT NULL,
       CHECK (number IS NULL OR word IS NULL)) STRICT;
     CREATE INDEX profile_of_pool ON profile(pool, since, id);
     CREATE TABLE fact (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE) STRICT;
     CREATE TABLE visit (
       id INTEGER PRIMARY KEY, key TEXT NOT NULL UNIQUE, pool INTEGER NOT NULL REFERENCES pool(id),
       at INTEGER NOT NULL, at_offset INTEGER NOT NULL, who TEXT NOT NULL, note TEXT NOT NULL) STRICT;
     CREATE INDEX visit_of_pool ON visit(pool, at, id);
     CREATE TABLE reading (
       visit INTEGER NOT NULL REFERENCES visit(id), fact INTEGER NOT NULL REFERENCES fact(id),
       number REAL, word TEXT, given TEXT NOT NULL, method TEXT NOT NULL,
       CHECK ((number IS NULL) <> (word IS NULL)), PRIMARY KEY (visit, fact)) STRICT, WITHOUT ROWID;
     CREATE TABLE addition (
       visit INTEGER NOT NULL REFERENCES visit(id), place INTEGER NOT NULL, product TEXT NOT NULL,
       percent REAL, amount REAL NOT NULL, unit TEXT NOT NULL, given TEXT NOT NULL,
       PRIMARY KEY (visit, place)) STRICT, WITHOUT ROWID;
     CREATE TABLE done (
       visit INTEGER NOT NULL REFERENCES visit(id), task TEXT NOT NULL,
       PRIMARY KEY (visit, task)) STRICT, WITHOUT ROWID;
     CREATE TABLE photo (
       visit INTEGER NOT NULL REFERENCES visit(id), place INTEGER NOT NULL, file TEXT NOT NULL,
       PRIMARY KEY (visit, place)) STRICT, WITHOUT ROWID;
     CREATE TABLE correction (
       id INTEGER PRIMARY KEY, visit INTEGER NOT NULL REFERENCES visit(id),
       fact INTEGER NOT NULL REFERENCES fact(id), number REAL, word TEXT, given TEXT NOT NULL,
       at INTEGER NOT NULL, at_offset INTEGER NOT NULL, who TEXT NOT NULL, why TEXT NOT NULL) STRICT;
     CREATE INDEX correction_of_visit ON correction(visit, id);",
    // 2: dates put off, and days off.
    "CREATE TABLE postponed (
       id INTEGER PRIMARY KEY, pool INTEGER NOT NULL REFERENCES pool(id), task TEXT NOT NULL,
       until INTEGER NOT NULL, until_offset INTEGER NOT NULL, who TEXT NOT NULL, why TEXT NOT NULL) STRICT;
     CREATE TABLE blackout (
       id INTEGER PRIMARY KEY, pool INTEGER REFERENCES pool(id),
       begins INTEGER NOT NULL, begins_offset INTEGER NOT NULL,
       ends INTEGER NOT NULL, ends_offset INTEGER NOT NULL, why TEXT NOT NULL) STRICT;",
    // 3: drills: who practised what, when, and how it went.
    "CREATE TABLE practice (
       id INTEGER PRIMARY KEY, who TEXT NOT NULL, skill TEXT NOT NULL, scenario TEXT NOT NULL,
       seed INTEGER NOT NULL, at INTEGER NOT NULL, at_offset INTEGER NOT NULL,
       grade TEXT NOT NULL, share REAL NOT NULL) STRICT;
     CREATE INDEX practice_of_who ON practice(who, at, id);",
    // 4: corrections of additions and tasks too.
    "ALTER TABLE correction ADD COLUMN part TEXT NOT NULL DEFAULT 'reading';
     ALTER TABLE correction ADD COLUMN unit TEXT NOT NULL DEFAULT '';
     ALTER TABLE correction ADD COLUMN percent REAL;",
];
