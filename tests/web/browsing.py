"""A small browser without a window: follows forms as they stand in the page, keeps cookies, and a site to visit."""

import html.parser
import os
import re
from dataclasses import dataclass, field

from advisor.web import passwords
from advisor.web.app import application
from advisor.web.site import Folders, Site
from advisor.web.workplace import Workplaces
from tests.casebook import stores

HOST = "http://localhost"
LEAD, COUNTER, FITTER = "Cleo Invented", "Ada Invented", "Ben Invented"
PASSWORD = "seven green kettles"


def site_in(folder, shop=None):
    """A Site that keeps everything in a folder; its casebook on a server where the run of tests is on one."""
    casebook = folder / "casebook.sqlite"
    if os.environ.get(stores.VARIABLE) == stores.SERVER:
        casebook = stores.address(casebook)
    return Site(Folders(casebook, folder / "pages"), Workplaces(shop))


def app_in(folder, shop=None, people=(LEAD, COUNTER)):
    """An application whose people have passwords of their own."""
    site = site_in(folder, shop)
    app = application(site)
    hashed = passwords.hashed(PASSWORD) if people else ""
    with site.register() as register:
        for person in people:
            register.set_password(person, hashed, first=False)
    return app


@dataclass
class Form:
    """A form of a page: where it goes, and its fields as they stand."""

    action: str
    method: str
    fields: list = field(default_factory=list)
    buttons: list = field(default_factory=list)
    kinds: dict = field(default_factory=dict)


class _Forms(html.parser.HTMLParser):
    def __init__(self):
        super().__init__()
        self.forms, self.inside, self.area, self.select = [], None, None, None

    def handle_starttag(self, tag, attributes):
        held = dict(attributes)
        if tag == "form":
            self.inside = Form(held.get("action", ""), held.get("method", "get"))
            self.forms.append(self.inside)
        if self.inside is None:
            return
        name = held.get("name")
        if tag == "input" and name and "disabled" not in held:
            self.inside.kinds.setdefault(name, []).append((held.get("type", "text"), held.get("value", "")))
            if held.get("type") not in ("radio", "checkbox") or "checked" in held:
                self.inside.fields.append((name, held.get("value", "")))
        elif tag == "button":
            self.inside.buttons.append((name, held.get("value", "")))
        elif tag == "textarea":
            self.area = [name, ""]
        elif tag == "select" and "disabled" not in held:
            self.select = name
            self.inside.fields.append((name, None))
        elif tag == "option" and self.select:
            if self.inside.fields[-1] == (self.select, None) or "selected" in held:
                self.inside.fields[-1] = (self.select, held.get("value", ""))
            self.inside.kinds.setdefault(self.select, []).append(("option", held.get("value", "")))

    def handle_data(self, data):
        if self.area is not None:
            self.area[1] += data

    def handle_endtag(self, tag):
        if tag == "form":
            self.inside = None
        elif tag == "textarea" and self.area is not None:
            if self.inside is not None and self.area[0]:
                self.inside.fields.append(tuple(self.area))
            self.area = None
        elif tag == "select":
            self.select = None


class Browser:
    """``client``: an application's, or connected to a server; ``page``: the page's text; ``path``, ``status`` of it."""

    def __init__(self, app, address="10.0.0.1"):
        self.client = app.test_client() if hasattr(app, "test_client") else app
        self.page, self.path, self.status, self.headers = "", "", 0, {}
        self.address = address

    def _took(self, response, path):
        self.status, self.path, self.headers = response.status_code, path, response.headers
        self.page = response.get_data(as_text=True)
        if response.status_code == 303:
            return self.get(response.headers["Location"])
        return self

    def get(self, path):
        """Open an address, following what it leads to."""
        path = path.removeprefix(HOST)
        return self._took(self.client.get(path, base_url=HOST, environ_base={"REMOTE_ADDR": self.address}), path)

    def post(self, path, fields, **more):
        """Send fields as they are."""
        sent = self.client.post(path, data=fields, base_url=HOST, environ_base={"REMOTE_ADDR": self.address}, **more)
        return self._took(sent, path)

    @property
    def forms(self):
        """The forms of the page."""
        reader = _Forms()
        reader.feed(self.page)
        return reader.forms

    def form(self, part):
        """The form whose address ends so, or that has a field of that name."""
        fitting = [form for form in self.forms if form.method == "post" and form.action.endswith(part)]
        return (
            fitting[0] if fitting else next(form for form in self.forms if any(name == part for name, _ in form.fields))
        )

    def send(self, part, **values):
        """Fill in a form and send it; a value of None takes the field out."""
        form = self.form(part)
        fields: dict = {}
        for name, value in form.fields:
            fields.setdefault(name, []).append(value)
        for name, value in values.items():
            fields.pop(name, None)
            if value is not None:
                fields[name] = value if isinstance(value, list) else [value]
        return self.post(form.action, fields)

    @property
    def title(self):
        """The title of the page."""
        return re.search(r"<title>(.*?)</title>", self.page, re.DOTALL)[1]

    @property
    def heading(self):
        """The one heading of the first order, without marks."""
        (heading,) = re.findall(r"<h1[^>]*>(.*?)</h1>", self.page, re.DOTALL)
        return html.unescape(re.sub(r"<[^>]+>", "", heading)).strip()

    # --- what people do

    def begin(self, car="bramble-20t"):
        """Begin as a customer and name the car."""
        self.get("/").send("/begin")
        return self.send("/car", value=car).get("/next")

    @property
    def asked(self):
        """The fact asked for on this page, or ""."""
        return self.path.rpartition("/question/")[2] if "/question/" in self.path else ""

    def answer(self, value="unknown"):
        """Answer the question that is shown."""
        form = self.form(f"/question/{self.asked}")
        if value == "unknown" and any(name == "unknown" for name, _ in form.buttons):
            return self.send(f"/question/{self.asked}", value="", unknown="yes")
        return self.send(f"/question/{self.asked}", value=value)

    def say(self, name, value="unknown"):
        """Answer any question."""
        return self.get(f"/question/{name}").answer(value)

    def tell(self, **answers):
        """Answer questions without looking at the page that follows each."""
        for name, value in answers.items():
            form = self.get(f"/question/{name}").form(f"/question/{name}")
            fields = {**dict(form.fields), "value": value}
            sent = self.client.post(form.action, data=fields, base_url=HOST, environ_base={"REMOTE_ADDR": self.address})
            assert sent.status_code == 303, (name, value, sent.status_code)
        return self

    def come_in(self, name=LEAD, password=PASSWORD):
        """Log in."""
        return self.get("/shop/come-in").send("/come-in", name=name, password=password)
