"""Files of a cost report as they are sent."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import HttpResponse

from shop.jobs.documents.cost_report import report_pdf
from shop.jobs.documents.cost_table import report_csv


def csv_response(shown: Mapping[str, Any]) -> HttpResponse:
    """The report as a file to keep."""
    answer = HttpResponse(report_csv(shown), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="cost-report-{shown["number"]}.csv"'
    return answer


def pdf_response(shown: Mapping[str, Any]) -> HttpResponse:
    """The report as a paper that browsers show in place."""
    answer = HttpResponse(report_pdf(shown), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="cost-report-{shown["number"]}.pdf"'
    return answer
