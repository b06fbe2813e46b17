"""Addresses of the pages of jobs, bench and look-back."""

from django.urls import path

from shop.jobs.web import bench, entries, hours, jobs, lookback, photographs

app_name = "jobs"
urlpatterns = [
    path("bench/", bench.bench, name="bench"),
    path("bench/worker.js", bench.worker, name="worker"),
    path("bench/<str:number>/", bench.bench_job, name="bench-job"),
    path("jobs/", jobs.job_list, name="jobs"),
    path("jobs/list.csv", jobs.job_table, name="job-table"),
    path("jobs/time", hours.time_page, name="time"),
    path("jobs/time.csv", hours.time_table, name="time-table"),
    path("jobs/new", jobs.new_job, name="new-job"),
    path("jobs/open/<int:pk>", jobs.open_quote, name="open-quote"),
    path("jobs/<str:number>/", jobs.job_page, name="job"),
    path("jobs/<str:number>/details", jobs.change_details, name="job-details"),
    path("jobs/<str:number>/days", jobs.change_day, name="job-days"),
    path("jobs/<str:number>/status", jobs.change_status, name="job-status"),
    path("jobs/<str:number>/purchases", entries.purchase, name="purchase"),
    path("jobs/<str:number>/time/<int:pk>", entries.correct_entry, name="correct-entry"),
    path("jobs/<str:number>/draws/<int:pk>", entries.strike_draw, name="strike-draw"),
    path("jobs/<str:number>/mishaps/<int:pk>", entries.undo_mishap, name="undo-mishap"),
    path("jobs/<str:number>/photographs", photographs.add, name="add-photograph"),
    path("jobs/<str:number>/photographs/<int:photograph>", photographs.show, name="photograph"),
    path("jobs/<str:number>/photographs/<int:photograph>/off", photographs.remove, name="photograph-off"),
    path("jobs/<str:number>/report.pdf", jobs.report_file, {"form": "pdf"}, name="report-pdf"),
    path("jobs/<str:number>/report.csv", jobs.report_file, {"form": "csv"}, name="report-csv"),
    path("jobs/<str:number>/report.json", jobs.report_file, {"form": "json"}, name="report-json"),
    path("look-back/", lookback.look_back_page, name="look-back"),
    *(
        path(f"look-back/{name}.csv", lookback.look_back_table, {"table": name}, name=f"look-back-{name}")
        for name in lookback.TABLES
    ),
    path("look-back/<str:code>", lookback.accept, name="accept"),
]
