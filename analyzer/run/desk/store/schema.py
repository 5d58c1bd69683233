"""The tables, as the steps that lead to them. A step that has been released is never changed: a new one follows it."""

#: marks the database as ours (bytes of "RDsk"), so that somebody else's is left alone
APPLICATION_ID = 0x5244736B

_FIRST = (
    "CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID",
    """CREATE TABLE pilot (
        id INTEGER PRIMARY KEY,
        name TEXT NOT NULL,
        note TEXT NOT NULL,
        asks_own_view INTEGER NOT NULL,
        made_at TEXT NOT NULL
    )""",
    """CREATE TABLE chart (
        id INTEGER PRIMARY KEY,
        title TEXT NOT NULL,
        text TEXT NOT NULL,
        sha256 TEXT NOT NULL UNIQUE,
        origin TEXT NOT NULL,
        made_at TEXT NOT NULL,
        replaces INTEGER REFERENCES chart (id)
    )""",
    """CREATE TABLE recording (
        sha256 TEXT PRIMARY KEY,
        name TEXT NOT NULL,
        size_bytes INTEGER NOT NULL,
        received_at TEXT NOT NULL
    ) WITHOUT ROWID""",
    """CREATE TABLE lesson (
        id INTEGER PRIMARY KEY,
        uid TEXT NOT NULL UNIQUE,
        recording TEXT NOT NULL REFERENCES recording (sha256),
        pilot INTEGER REFERENCES pilot (id),
        clearance TEXT NOT NULL,
        options TEXT NOT NULL,
        state TEXT NOT NULL CHECK (state IN ('received', 'read', 'assessed', 'refused')),
        refusal TEXT NOT NULL,
        flown_at TEXT NOT NULL,
        duration_s REAL,
        assessment INTEGER REFERENCES assessment (id),
        result TEXT NOT NULL,
        overall REAL,
        overruled INTEGER NOT NULL,
        put_away INTEGER NOT NULL,
        made_at TEXT NOT NULL
    )""",
    # apart from the lesson, so that the list does not read through it
    "CREATE TABLE look (lesson INTEGER PRIMARY KEY REFERENCES lesson (id), content TEXT NOT NULL)",
    "CREATE INDEX lesson_by_recording ON lesson (recording)",
    "CREATE INDEX lesson_by_pilot ON lesson (pilot)",
    "CREATE INDEX lesson_by_time ON lesson (flown_at DESC, id DESC)",
    """CREATE TABLE lesson_chart (
        lesson INTEGER NOT NULL REFERENCES lesson (id),
        position INTEGER NOT NULL,
        chart INTEGER NOT NULL REFERENCES chart (id),
        PRIMARY KEY (lesson, position)
    ) WITHOUT ROWID""",
    "CREATE INDEX lesson_chart_by_chart ON lesson_chart (chart)",
    """CREATE TABLE job (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        lesson INTEGER NOT NULL UNIQUE REFERENCES lesson (id),
        deaths INTEGER NOT NULL,
        asked_at TEXT NOT NULL
    )""",
    """CREATE TABLE assessment (
        id INTEGER PRIMARY KEY,
        uid TEXT NOT NULL UNIQUE,
        lesson INTEGER NOT NULL REFERENCES lesson (id),
        result_sha256 TEXT NOT NULL,
        report_sha256 TEXT NOT NULL,
        program TEXT NOT NULL,
        charts TEXT NOT NULL,
        clearance TEXT NOT NULL,
        options TEXT NOT NULL,
        result TEXT NOT NULL,
        overall REAL,
        attempts INTEGER NOT NULL,
        made_at TEXT NOT NULL
    )""",
    "CREATE INDEX assessment_by_lesson ON assessment (lesson)",
    """CREATE TABLE finding (
        assessment INTEGER NOT NULL REFERENCES assessment (id),
        position INTEGER NOT NULL,
        attempt INTEGER NOT NULL,
        code TEXT NOT NULL,
        severity TEXT NOT NULL,
        phase TEXT NOT NULL,
        lap INTEGER NOT NULL,
        at_s REAL,
        PRIMARY KEY (assessment, position)
    ) WITHOUT ROWID""",
    "CREATE INDEX finding_by_code ON finding (code, assessment)",
    """CREATE TABLE remark (
        id INTEGER PRIMARY KEY,
        uid TEXT NOT NULL UNIQUE,
        assessment INTEGER NOT NULL REFERENCES assessment (id),
        kind TEXT NOT NULL,
        attempt INTEGER,
        code TEXT NOT NULL,
        phase TEXT NOT NULL,
        lap INTEGER,
        at_s REAL,
        text TEXT NOT NULL,
        author TEXT NOT NULL,
        made_at TEXT NOT NULL,
        replaces INTEGER UNIQUE REFERENCES remark (id)
    )""",
    "CREATE INDEX remark_by_assessment ON remark (assessment)",
    """CREATE TABLE signature (
        id INTEGER PRIMARY KEY,
        uid TEXT NOT NULL UNIQUE,
        assessment INTEGER NOT NULL REFERENCES assessment (id),
        name TEXT NOT NULL,
        made_at TEXT NOT NULL,
        seal TEXT NOT NULL
    )""",
    "CREATE INDEX signature_by_assessment ON signature (assessment)",
    """CREATE TABLE own_view (
        id INTEGER PRIMARY KEY,
        uid TEXT NOT NULL UNIQUE,
        lesson INTEGER NOT NULL REFERENCES lesson (id),
        content TEXT NOT NULL,
        author TEXT NOT NULL,
        made_at TEXT NOT NULL
    )""",
    "CREATE INDEX own_view_by_lesson ON own_view (lesson)",
)

#: step n leads from version n to version n + 1
STEPS: tuple[tuple[str, ...], ...] = (_FIRST,)
VERSION = len(STEPS)
