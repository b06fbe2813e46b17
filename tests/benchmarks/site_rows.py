"""Many rows at once, made by the database itself (SQLite): a shop after a very long time.

The counts are whole numbers of ours; nothing anybody typed gets into these statements.
"""
# ruff: noqa: S608

from __future__ import annotations

import json

from django.db import connection

COUNTED = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < {count}) "


def many_quotes(count: int) -> None:
    """Add so many issued quotes of one client, each with a small paper."""
    said = {
        "gross": "1234.00",
        "net": "1028.33",
        "currency": "EUR",
        "locale": "en_GB",
        "issued_on": "2025-06-01",
    }
    with connection.cursor() as cursor:
        cursor.execute(
            COUNTED.format(count=count)
            + """INSERT INTO quoting_quote (client_id, title, status, number, quoted_on, valid_days, discount,
                note, version, created_at, updated_at)
            SELECT (SELECT min(id) FROM quoting_client), 'Counter ' || i, 'issued', 'Q25-' || i, '2025-06-01',
                30, 0, '', 2, datetime('2020-01-01', '+' || i || ' minutes'), '2025-06-01 09:00:00' FROM n"""
        )
        cursor.execute(
            """INSERT INTO quoting_issuedquote (quote_id, data, basis, data_sha256, pdf, pdf_sha256,
                issued_at, valid_until)
            SELECT id, %s, '{}', '', x'25504446', '', '2025-06-01 09:00:00', '2025-07-01'
            FROM quoting_quote WHERE number LIKE 'Q25-%%'""",
            [json.dumps(said)],
        )
        cursor.execute("ANALYZE")


def many_hours(job: int, person: int, count: int, jobs: int) -> None:
    """Add so many entries of time: as many of them on `job` as on each of `jobs` others like it."""
    with connection.cursor() as cursor:
        cursor.execute(
            COUNTED.format(count=jobs)
            + """INSERT INTO jobs_job (number, title, status, currency, minor_units, price,
                breakage_allowance, overhead_rate, opened_on, note, created_at)
            SELECT 'J20-' || i, 'Bench ' || i, 'open', 'EUR', 2, 900, 20, 12, '2020-01-01', '',
                '2020-01-01 09:00:00' FROM n""",
        )
        cursor.execute(
            COUNTED.format(count=count)
            + """INSERT INTO jobs_timeentry (job_id, operation_id, person_id, worked_on, seconds, rate, note,
                struck_out, created_at)
            SELECT CASE WHEN i %% %s = 0 THEN %s
                ELSE (SELECT min(id) FROM jobs_job WHERE number LIKE 'J20-%%') + i %% %s - 1 END,
                CASE WHEN i %% %s = 0 THEN (SELECT min(o.id) FROM jobs_plannedoperation o
                    JOIN jobs_jobpiece p ON p.id = o.piece_id WHERE p.job_id = %s) END,
                %s, '2026-01-05', 600, 24.5, '', 0, '2026-01-05 09:00:00' FROM n""",
            [jobs + 1, job, jobs + 1, jobs + 1, job, person],
        )
        cursor.execute("ANALYZE")
