"""The forms of a page as a browser reads them: where they go, their fields, what is said about each field."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

NOT_TYPED = {"hidden", "radio", "checkbox", "file", "password", "submit", "button"}


@dataclass
class Control:
    """One field of a form."""

    name: str
    kind: str
    value: str
    invalid: bool
    described_by: tuple[str, ...]

    @property
    def typed(self) -> bool:
        """Whether somebody types into it."""
        return self.kind not in NOT_TYPED and self.kind != "select"


@dataclass
class Form:
    """One form: its address (empty for the page's own), method, fields and buttons."""

    action: str
    method: str
    controls: list[Control] = field(default_factory=list)
    buttons: list[tuple[str, str]] = field(default_factory=list)

    @property
    def takes_texts(self) -> bool:
        """Whether there is anything to type."""
        return self.method == "post" and any(control.typed for control in self.controls)


class Page(HTMLParser):
    """A page taken apart."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.ids: set[str] = set()
        self._open: Form | None = None
        self._within: Control | None = None
        self.feed(text)

    @property
    def controls(self) -> list[Control]:
        """Fields of all forms."""
        return [control for form in self.forms for control in form.controls]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        self.ids.add(said.get("id", ""))
        if tag == "form":
            self._open = Form(said.get("action", ""), said.get("method", "get").lower())
            self.forms.append(self._open)
        if self._open is None:
            return
        if tag == "button" and "name" in said and said.get("type", "submit") == "submit":
            self._open.buttons.append((said["name"], said.get("value", "")))
        if tag in ("input", "textarea", "select") and "name" in said and "disabled" not in said:
            self._control(tag, said)
        if tag == "option" and self._within is not None:
            chosen = "selected" in said or not self._within.value
            self._within.value = said.get("value", "") if chosen else self._within.value

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._open = None
        if tag in ("select", "textarea"):
            if self._within is not None and tag == "textarea":
                self._within.value = self._within.value.removeprefix("\n")
            self._within = None

    def handle_data(self, data: str) -> None:
        if self._within is not None and self._within.kind == "textarea":
            self._within.value += data

    def _control(self, tag: str, said: dict[str, str]) -> None:
        kind = said.get("type", "text") if tag == "input" else tag
        off = kind in ("radio", "checkbox") and "checked" not in said
        control = Control(
            said["name"],
            kind,
            "" if off or tag != "input" else said.get("value", "on" if kind == "checkbox" else ""),
            said.get("aria-invalid") == "true",
            tuple(said.get("aria-describedby", "").split()),
        )
        if self._open is not None:
            self._open.controls.append(control)
        self._within = control if tag in ("select", "textarea") else None
