"""What the shop keeps of its jobs. Imports run jobs -> mishaps -> plans -> records; jobs -> photographs."""

from shop.jobs.models.jobs import Job, JobDate, JobEvent, JobPiece, JobSeries
from shop.jobs.models.mishaps import Mishap
from shop.jobs.models.photographs import JobPhotograph
from shop.jobs.models.plans import PlannedMaterial, PlannedOperation
from shop.jobs.models.records import Correction, Draw, Progress, TimeEntry

__all__ = [
    "Correction",
    "Draw",
    "Job",
    "JobDate",
    "JobEvent",
    "JobPhotograph",
    "JobPiece",
    "JobSeries",
    "Mishap",
    "PlannedMaterial",
    "PlannedOperation",
    "Progress",
    "TimeEntry",
]
