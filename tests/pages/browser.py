"""Somebody signed in who looks at pages and sends forms, as a browser without scripts does."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from html.parser import HTMLParser
from typing import Any

from django.test import Client

from service.operations.models import Dealer, Person

SILENT = ("script", "style")


class _Reader(HTMLParser):
    """The words of a page, its forms with what stands in their fields, and its links."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.forms: list[dict[str, Any]] = []
        self.links: list[str] = []
        self.pictures: list[str] = []
        self._select = ""

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        told = dict(attrs)
        if tag == "form":
            self.forms.append({"action": told.get("action", ""), "method": told.get("method"), "fields": {}})
        elif tag == "input" and self.forms and told.get("name"):
            self.forms[-1]["fields"].setdefault(told["name"], told.get("value", ""))
        elif tag == "select" and self.forms:
            self._select = told["name"]
            self.forms[-1]["fields"][self._select] = ""
        elif tag == "option" and self._select and "selected" in told:
            self.forms[-1]["fields"][self._select] = told["value"]
        elif tag == "a":
            self.links.append(told.get("href", ""))
        elif tag == "img":
            self.pictures.append(told.get("src", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""

    def handle_data(self, data: str) -> None:
        self.words.append(data)


@dataclass(frozen=True, slots=True)
class Page:
    status: int
    html: str
    address: str

    def _read(self) -> _Reader:
        reader = _Reader()
        reader.feed(self.html)
        return reader

    @property
    def text(self) -> str:
        """What is read on it, each run of space as one."""
        return re.sub(r"\s+", " ", " ".join(self._read().words))

    @property
    def links(self) -> list[str]:
        return self._read().links

    @property
    def pictures(self) -> list[str]:
        return self._read().pictures

    def form(self, end: str = "", method: str = "post") -> dict[str, str]:
        """What stands in the fields of the form that is sent to an address with this end."""
        forms = self._read().forms
        fields: dict[str, str] = next(
            one["fields"] for one in forms if one["method"] == method and one["action"].endswith(end)
        )
        return {name: value for name, value in fields.items() if name != "csrfmiddlewaretoken"}

    def forms(self) -> list[str]:
        return [one["action"] for one in self._read().forms]


@dataclass(frozen=True, slots=True)
class Browser:
    client: Client

    @classmethod
    def of(cls, dealer: Dealer) -> Browser:
        """Somebody of this dealer's."""
        person = Person.objects.filter(dealer=dealer).order_by("username").first() or Person.objects.create(
            username=f"at.{dealer.code}", name="Lou Fenner", dealer=dealer
        )
        client = Client(raise_request_exception=True)
        client.force_login(person)
        return cls(client)

    def get(self, address: str, **headers: str) -> Page:
        return _page(self.client.get(address, headers=headers), address)

    def raw(self, address: str, **headers: str) -> Any:
        return self.client.get(address, headers={name.replace("_", "-"): value for name, value in headers.items()})

    def send(self, address: str, fields: Mapping[str, str]) -> Page:
        """Send a form and follow where it leads."""
        response = self.client.post(address, dict(fields), follow=True)
        return _page(response, response.request["PATH_INFO"])


def _page(response: Any, address: str) -> Page:
    return Page(response.status_code, response.content.decode(), address)
