"""Addresses of the pages for a dealer's people."""

from django.urls import path

from kits.web import approvals, counter, counter_described, due, kits, machine_adding, machines, plots, supply, today

MACHINE = "machines/<uuid:machine_id>"
KIT = "kits/<uuid:kit_id>"
urlpatterns = [
    path("counter/", counter.asking, name="counter"),
    path("counter/describe/", counter_described.describing, name="counter-describe"),
    path("counter/<uuid:check_id>/", counter.shown, name="counter-check"),
    path("counter/<uuid:check_id>/told/", counter.told, name="counter-told"),
    path("counter/<uuid:check_id>/ask-approval/", approvals.asked, name="counter-ask-approval"),
    path("counter/<uuid:check_id>/approve/", approvals.given, name="counter-approve"),
    path("counter/<uuid:check_id>/decline/", approvals.declined, name="counter-decline"),
    path("approvals/", approvals.waiting, name="approvals"),
    path("today/", today.checks, name="today"),
    path("machines/", machines.listed, name="page-machines"),
    path("machines/add/", machine_adding.adding, name="page-add-machine"),
    path(f"{MACHINE}/change/", machine_adding.changing, name="page-change-machine"),
    path(f"{MACHINE}/standing/", machine_adding.standing, name="page-machine-standing"),
    path(f"{MACHINE}/", machines.machine, name="page-machine"),
    path(f"{MACHINE}/hours.svg", plots.hours, name="page-hours-plot"),
    path(f"{MACHINE}/readings/", machines.adding_reading, name="page-add-reading"),
    path(f"{MACHINE}/readings/<uuid:reading_id>/review/", machines.reviewing, name="page-review-reading"),
    path(f"{MACHINE}/meters/", machines.adding_meter, name="page-add-meter"),
    path(f"{MACHINE}/fuel-records/", machines.adding_fuel, name="page-add-fuel"),
    path(f"{MACHINE}/serial/", machines.adding_serial, name="page-add-serial"),
    path(f"{MACHINE}/kits/", machines.building, name="page-build-kit"),
    path(f"{MACHINE}/supply/", supply.line, name="page-supply"),
    path(f"{MACHINE}/supply/pressure.svg", supply.pressure, name="page-supply-plot"),
    path("due/", due.listed, name="page-due"),
    path("kits/", kits.listed, name="page-kits"),
    path(f"{KIT}/", kits.kit, name="page-kit"),
    path(f"{KIT}/settle/", kits.settling, name="page-kit-settle"),
    *(path(f"{KIT}/{step}/", kits.stepping, {"step": step}, name=f"page-kit-{step}") for step in kits.STEPS),
]
