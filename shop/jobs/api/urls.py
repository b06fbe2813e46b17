"""The API of jobs, below ``/api/v1/``."""

from django.urls import path

from shop.jobs.api import jobs, lookback, photographs, records

urlpatterns = [
    path("jobs", jobs.JobsView.as_view(), name="jobs"),
    path("jobs/<int:pk>", jobs.JobView.as_view(), name="job"),
    path("jobs/<int:pk>/close", jobs.CloseView.as_view(), name="job-close"),
    path("jobs/<int:pk>/reopen", jobs.ReopenView.as_view(), name="job-reopen"),
    path("jobs/<int:pk>/report", jobs.ReportView.as_view(), name="job-report"),
    path("jobs/<int:pk>/report.csv", jobs.ReportCsvView.as_view(), name="job-report-csv"),
    path("jobs/<int:pk>/report.pdf", jobs.ReportPdfView.as_view(), name="job-report-pdf"),
    path("jobs/<int:pk>/time", records.TimeView.as_view(), name="job-time"),
    path("jobs/<int:pk>/time/start", records.StartView.as_view(), name="job-time-start"),
    path("jobs/<int:pk>/time/stop", records.StopView.as_view(), name="job-time-stop"),
    path("jobs/<int:pk>/time/<int:entry>", records.TimeEntryView.as_view(), name="job-time-entry"),
    path("jobs/<int:pk>/draws", records.DrawsView.as_view(), name="job-draws"),
    path("jobs/<int:pk>/draws/<int:draw>", records.DrawView.as_view(), name="job-draw"),
    path("jobs/<int:pk>/mishaps", records.MishapsView.as_view(), name="job-mishaps"),
    path("jobs/<int:pk>/mishaps/<int:mishap>", records.MishapView.as_view(), name="job-mishap"),
    path("jobs/<int:pk>/progress", records.ProgressView.as_view(), name="job-progress"),
    path("jobs/<int:pk>/photographs", photographs.PhotographsView.as_view(), name="job-photographs"),
    path(
        "jobs/<int:pk>/photographs/<int:photograph>",
        photographs.PhotographView.as_view(),
        name="job-photograph",
    ),
    path("look-back", lookback.LookBackView.as_view(), name="look-back"),
    path("look-back/<str:code>/accept", lookback.AcceptView.as_view(), name="look-back-accept"),
    path("reports/periods", lookback.PeriodsView.as_view(), name="periods"),
    path("reports/month", lookback.MonthView.as_view(), name="month"),
]
