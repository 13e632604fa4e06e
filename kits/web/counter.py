"""The counter's page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from service.http.pages import dealer_page


@dealer_page
def asking(request: HttpRequest) -> HttpResponse:
    return render(request, "kits/counter.html")
