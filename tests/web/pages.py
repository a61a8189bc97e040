"""Pages as a browser reads them: their forms with every field, and what in them could run."""

from dataclasses import dataclass, field
from html.parser import HTMLParser

_ADDRESSES = ("href", "src", "action", "formaction", "hx-get", "hx-post")


@dataclass
class Form:
    """A form of a page: how and where it is sent, and what its fields hold."""

    method: str
    action: str
    fields: dict[str, str] = field(default_factory=dict)

    @property
    def place(self) -> str:
        """What tells it apart from other forms."""
        action, _, asked = self.action.partition("?")
        return f"{self.method} {action} {' '.join(sorted(self.fields))}{asked and ' ?'}"


class Page(HTMLParser):
    """A page that was read: its forms, its text, its elements, and what no page of ours holds."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.texts: list[str] = []
        self.values: list[str] = []
        self.elements: set[str] = set()
        self.runs: list[str] = []
        self._by_id: dict[str, Form] = {}
        self._form: Form | None = None
        self._select = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        said = {name: value or "" for name, value in attrs}
        self.elements.add(tag)
        self.values += said.values()
        self._judge(tag, said)
        if tag == "form":
            self._form = Form(said.get("method", "get").lower(), said.get("action", ""))
            self.forms.append(self._form)
            self._by_id[said.get("id", "")] = self._form
        form = self._by_id.get(said.get("form", "")) or self._form
        name = said.get("name", "")
        if form and tag in ("input", "select", "textarea", "button") and name:
            if said.get("type") not in ("radio", "checkbox") or "checked" in said:
                form.fields[name] = said.get("value", "")
            else:
                form.fields.setdefault(name, "")
            self._select = name if tag == "select" else self._select
        if tag == "option" and form and self._select:
            empty = not form.fields[self._select]
            if empty or "selected" in said:
                form.fields[self._select] = said.get("value", "")

    def handle_endtag(self, tag):
        if tag == "form":
            self._form = None
        if tag == "select":
            self._select = ""

    def handle_data(self, data):
        self.texts.append(data)

    def _judge(self, tag, said):
        """Note what would run, load from elsewhere or change how the page looks."""
        if tag == "script" and not said.get("src", "").startswith("/static/"):
            self.runs.append("script")
        if tag in ("iframe", "object", "embed", "base", "style", "evil"):
            self.runs.append(tag)
        for name, value in said.items():
            if name.startswith("on") or name == "style":
                self.runs.append(f"{tag} {name}")
            if name in _ADDRESSES and value and not value.startswith(("/", "#", "?")):
                self.runs.append(f"{tag} {name}={value}")

    @property
    def text(self) -> str:
        """All that is to be read, without its elements."""
        return "".join(self.texts)
