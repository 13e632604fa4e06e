"""Addresses below /api/v1/ that know nothing of parts: jobs and the feed."""

from django.urls import path

from service.http.changes import ChangesView
from service.http.jobs import JobCancelView, JobProblemsView, JobsView, JobView

urlpatterns = [
    path("jobs/", JobsView.as_view(), name="jobs"),
    path("jobs/<uuid:job_id>/", JobView.as_view(), name="job"),
    path("jobs/<uuid:job_id>/problems/", JobProblemsView.as_view(), name="job-problems"),
    path("jobs/<uuid:job_id>/cancel/", JobCancelView.as_view(), name="job-cancel"),
    path("changes/", ChangesView.as_view(), name="changes"),
]
