"""What the desk answers to each address. Nothing in an address names a file: files are known by their models."""

from __future__ import annotations

import json
import secrets
from contextlib import asynccontextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qs

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from passage.api import questions, unread
from passage.desk import forms
from passage.desk.changing import (
    Refused,
    changed,
    entry_added,
    entry_removed,
    track_taken,
    waypoint_added,
    waypoint_moved,
    waypoint_named,
    waypoint_removed,
)
from passage.desk.chart import ashore, with_moved
from passage.desk.desk import JOBS, Desk
from passage.desk.differing import differences
from passage.desk.draft import ChangedMeanwhile
from passage.desk.guard import Guard, TooLarge
from passage.errors import InputFaults, PassageError
from passage.plan.face import FONTS

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Awaitable, Callable
    from subprocess import Popen

    from starlette.requests import Request

    from passage.desk.draft import Draft

HERE = Path(__file__).parent
STATIC = {
    "desk.css": (HERE / "static" / "desk.css", "text/css"),
    "desk.js": (HERE / "static" / "desk.js", "text/javascript"),
    "htmx.min.js": (HERE / "static" / "htmx.min.js", "text/javascript"),
    "B612-Regular.otf": (FONTS / "B612-Regular.otf", "font/otf"),
    "B612-Bold.otf": (FONTS / "B612-Bold.otf", "font/otf"),
}
NOT_SO = "That cannot be done here."
PIECES = ("answer", "bar", "chart", *JOBS)  # of the page that are sent as soon as they are new


class Pages:
    """The addresses of one desk. word: that every change carries."""

    def __init__(self, desk: Desk, word: str) -> None:
        self.desk, self.word = desk, word
        loader = FileSystemLoader(HERE / "templates")
        self._templates = Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True)
        self._templates.globals.update(desk=desk, word=word, groups=tuple(forms.GROUPS), group_of=forms.group_of)

    def html(self, name: str, **given: Any) -> HTMLResponse:
        return HTMLResponse(self.text(name, **given))

    def text(self, name: str, **given: Any) -> str:
        return self._templates.get_template(f"{name}.html").render(**given)

    def routes(self) -> list[Route]:
        posts: dict[str, Callable[[Request, dict[str, str]], Response]] = {
            "/set": self.set,
            "/entry/add": self.entry_add,
            "/entry/remove": self.entry_remove,
            "/waypoint": self.waypoint,
            "/waypoint/try": self.waypoint_try,
            "/undo": self.undo,
            "/undo-all": self.undo_all,
            "/save": self.save,
            "/again": self.again,
            "/track": self.track,
            "/depart": self.depart,
            "/job": self.job,
            "/stop": self.stop,
            "/begin": self.begin,
            "/open": self.open,
            "/closed": self.close_voyage,
        }
        gets: dict[str, Callable[[Request], Any]] = {
            "/": self.page,
            "/facts": self.facts,
            "/difference": self.difference,
            "/pulse": self.pulse,
            "/boats": self.boats,
            "/plan.pdf": self.plan_pdf,
            "/static/{name}": self.static,
        }
        return [
            *(Route(path, partial(_got, answer), methods=["GET"]) for path, answer in gets.items()),
            *(Route(path, partial(_posted, answer), methods=["POST"]) for path, answer in posts.items()),
        ]

    @property
    def draft(self) -> Draft:
        """Of the voyage that is open. Raises Refused where none is."""
        if self.desk.draft is None:
            raise Refused
        return self.desk.draft

    # ---------------------------------------------------------------- pages and their pieces

    def page(self, request: Request) -> Response:
        tab = secrets.token_urlsafe(6)
        if self.desk.draft is None:
            job = self.desk.jobs.get("begin")
            return self.html("harbour", tab=tab, voyages=self.desk.voyages(), questions=self.questions(), job=job)
        return self.html("desk", tab=tab, **self._facts("voyage"))

    def questions(self) -> Any:
        return questions(self.desk.root / "voyage")

    def _facts(self, group: str) -> dict[str, Any]:
        return {"group": group, "sections": forms.sections(self.draft, group, self.desk.faults)}

    def facts(self, request: Request) -> Response:
        group = request.query_params.get("group", "voyage")
        if group not in forms.GROUPS:
            return Response("There is no such group.", 404)
        return self.html("facts", serial=self.desk.serial, **self._facts(group))

    def difference(self, request: Request) -> Response:
        return self._differing(self.draft.meanwhile())

    def _differing(self, meanwhile: list[str]) -> Response:
        return self.html("difference", diff=self.draft.diff(), changes=differences(self.draft), meanwhile=meanwhile)

    async def pulse(self, request: Request) -> Response:
        """What is new, as soon as it is."""
        asked = request.query_params
        seen = int(asked.get("seen", "0")) if asked.get("seen", "0").isdigit() else 0
        new = await self.desk.wait(seen)
        told = {piece for piece in new if piece in PIECES}
        if "page" in new and seen:
            return Response("", headers={"HX-Refresh": "true"})
        return self.html("pulse", tab=asked.get("tab", ""), pieces=told, facts_new="facts" in new)

    def boats(self, request: Request) -> Response:
        """The crossings for the chart, by day; those of what was compared last beside them."""
        newest = self.desk.answers.newest
        job = self.desk.jobs.get("beside")
        beside = job.value.get("boats") if job and job.value and job.version == self.desk.version else None
        chart = self.desk.chart
        boats = {**newest.boats, "nodes": chart.nodes(chart.track)} if newest and newest.boats and chart else None
        return JSONResponse({"boats": boats, "beside": beside})

    def plan_pdf(self, request: Request) -> Response:
        job = self.desk.jobs.get("plan")
        if job is None or not job.value:
            return Response("No plan was printed yet.", 404)
        return FileResponse(job.value, media_type="application/pdf", content_disposition_type="inline")

    def static(self, request: Request) -> Response:
        name = request.path_params["name"]
        if name not in STATIC:
            return Response("There is no such file.", 404)
        path, kind = STATIC[name]
        return Response(path.read_bytes(), media_type=kind)

    # ---------------------------------------------------------------- changes

    def set(self, request: Request, form: dict[str, str]) -> Response:
        file, path = form.get("file", ""), _path(form.get("key", ""))
        value = form.get("value", "")
        told = self.desk.change(lambda draft: changed(draft, self.desk.root, file, path, value), _tab(request))
        field = forms.field_at(self.draft, file, path, self.desk.faults, value if told else None)
        return self.html("field", field=field._replace(fault=told) if told else field)

    def entry_add(self, request: Request, form: dict[str, str]) -> Response:
        file, name = form.get("file", ""), form.get("name", "")
        return self._group(form, lambda draft: entry_added(draft, file, name), request)

    def entry_remove(self, request: Request, form: dict[str, str]) -> Response:
        file, name, at = form.get("file", ""), form.get("name", ""), _number(form.get("at", ""))
        return self._group(form, lambda draft: entry_removed(draft, file, name, at), request)

    def _group(self, form: dict[str, str], make: Callable[..., bool], request: Request) -> Response:
        told = self.desk.change(make, _tab(request))
        group = form.get("group", "")
        group = group if group in forms.GROUPS else "voyage"
        return self.html("facts", serial=self.desk.serial, told=told, **self._facts(group))

    def waypoint(self, request: Request, form: dict[str, str]) -> Response:
        at, do = _number(form.get("at", "")), form.get("do", "")
        make: Callable[..., bool] = {
            "move": lambda draft: waypoint_moved(draft, at, self._place(form)),
            "add": lambda draft: waypoint_added(draft, self.desk.facts, at, self._place(form)),
            "remove": lambda draft: waypoint_removed(draft, at),
            "name": lambda draft: waypoint_named(draft, at, form.get("value", "")),
        }[do if do in ("move", "add", "remove", "name") else "move"]
        told = self.desk.change(make, _tab(request))
        return self.html("waypoints", told=told)

    def _place(self, form: dict[str, str]) -> Any:
        """As typed, or at a point of the chart; None where neither is given."""
        if form.get("position"):
            return form["position"]
        if self.desk.chart is None or not form.get("x"):
            return None
        return self.desk.chart.position(float(form["x"]), float(form["y"]))

    def waypoint_try(self, request: Request, form: dict[str, str]) -> Response:
        """Whether land would lie on the legs, were a waypoint there."""
        if self.desk.facts is None or self.desk.chart is None:
            return JSONResponse({"ashore": {}, "position": ""})
        place = self.desk.chart.position(float(form.get("x", "0")), float(form.get("y", "0")))
        try:
            found = ashore(with_moved(self.desk.facts.voyage, _number(form.get("at", "")), place))
        except PassageError as refusal:
            return JSONResponse({"ashore": {}, "position": str(refusal)})
        from passage.positions import format_position

        return JSONResponse({"ashore": found, "position": format_position(*place)})

    def track(self, request: Request, form: dict[str, str]) -> Response:
        job, number = self.desk.jobs.get("choices"), _number(form.get("number", ""))
        tracks = job.value["tracks"] if job and job.value else []
        chosen = next((track for track in tracks if track.number == number), None)
        if chosen is None:
            return self.html("waypoints", told="That track is not known any more: look for tracks again.")
        told = self.desk.change(lambda draft: track_taken(draft, chosen), _tab(request))
        return self.html("waypoints", told=told)

    def depart(self, request: Request, form: dict[str, str]) -> Response:
        key = ("voyage", "depart")
        make = partial(changed, root=self.desk.root, file="voyage.toml", path=key, text=form.get("depart", ""))
        told = self.desk.change(lambda draft: make(draft), "")
        return HTMLResponse(self.text("said", words=told or "Departure changed.", bad=bool(told)))

    def undo(self, request: Request, form: dict[str, str]) -> Response:
        self.desk.change(lambda draft: draft.undo(), "")
        return Response("", 204)

    def undo_all(self, request: Request, form: dict[str, str]) -> Response:
        def back(draft: Any) -> bool:
            draft.undo_all()
            return True

        self.desk.change(back, "")
        return self._differing([])

    # ---------------------------------------------------------------- files

    def save(self, request: Request, form: dict[str, str]) -> Response:
        """Write the files. Where another hand changed one meanwhile nothing is written, and it is told."""
        draft = self.draft
        try:
            self.desk.saved = tuple(draft.save())
        except ChangedMeanwhile as meanwhile:
            return self._differing(meanwhile.names)
        except OSError as trouble:
            words = f"Not saved: {trouble.filename}: {trouble.strerror}. Your changes are kept."
            return self.html("said", words=words, bad=True)
        self.desk.news("bar")
        return self.html("said", words=f"Saved: {', '.join(self.desk.saved) or 'nothing had changed'}.", bad=False)

    def again(self, request: Request, form: dict[str, str]) -> Response:
        """Take up the files as they stand, with the changes made on them again."""

        def take_up(draft: Any) -> bool:
            draft.read_again()
            return True

        self.desk.change(take_up, "")
        return self._differing([])

    # ---------------------------------------------------------------- long jobs

    def job(self, request: Request, form: dict[str, str]) -> Response:
        name = form.get("name", "")
        draft = self.desk.draft
        if name not in ("plan", "choices", "year", "beside") or draft is None:
            return Response("There is no such job.", 404)
        given = {"plan": self._plan, "beside": self._beside}.get(name, lambda _: {})(form)
        if given is None:
            return self.html("said", words="Save first: paper shows what stands in the files.", bad=True)
        self.desk.begin_job(name, given)
        return Response("", 204)

    def _plan(self, form: dict[str, str]) -> dict[str, Any] | None:
        draft = self.draft
        if draft.changes:
            return None
        return {"path": draft.folder / f"{draft.folder.resolve().name}.plan.pdf"}

    def _beside(self, form: dict[str, str]) -> dict[str, Any]:
        """What is to be compared: a week, a boat of those that are known, or a track of those found."""
        what, _, which = form.get("which", "").partition(":")
        given: dict[str, Any] = {"words": "the same"}
        if what == "week":
            given |= {"depart": which, "words": f"leaving {which}"}
        boat = next((path for path in self.desk.boats() if path.name == which), None)
        if what == "boat" and boat is not None:
            given |= {"boat": str(boat), "words": f"in {boat.name}"}
        job = self.desk.jobs.get("choices")
        tracks = job.value["tracks"] if job and job.value else []
        track = next((track for track in tracks if str(track.number) == which), None)
        if what == "track" and track is not None:
            lines = ["\t".join(place) for place in track.waypoints]
            given |= {"waypoints": "\n".join(lines), "words": f"by track {which}"}
        return given

    def stop(self, request: Request, form: dict[str, str]) -> Response:
        self.desk.stop_job(form.get("name", ""))
        return Response("", 204)

    # ---------------------------------------------------------------- beginning

    def begin(self, request: Request, form: dict[str, str]) -> Response:
        """A new voyage from the answers, in a folder within the one opened."""
        asked = self.questions()
        answers = {question.key: form.get(question.key, "") or question.default for question in asked}
        told = {question.key: unread(question, answers[question.key]) for question in asked}
        name = _folder_name(form.get("folder", ""))
        folder = self.desk.root / name
        if not name:
            told["folder"] = "give the voyage's folder a name of letters, figures and dashes"
        elif folder.exists():
            told["folder"] = "a folder of that name stands there already"
        if any(told.values()):
            return self.html(
                "questions", questions=asked, answers={**answers, "folder": form.get("folder", "")}, told=told
            )
        self.desk.begin_job("begin", {"answers": answers, "name": form.get("name", "")} | {"into": folder})
        return self.html("questions", questions=asked, answers={**answers, "folder": name}, told={})

    def open(self, request: Request, form: dict[str, str]) -> Response:
        chosen = next((path for path in self.desk.voyages() if path.name == form.get("name", "")), None)
        if chosen is None:
            return Response("There is no such voyage here.", 404)
        try:
            self.desk.open(chosen)
        except InputFaults as faults:
            return self.html("said", words=str(faults), bad=True)
        return Response("", headers={"HX-Refresh": "true"})

    def close_voyage(self, request: Request, form: dict[str, str]) -> Response:
        """Back to the folder's voyages; what is not saved stays beside the voyage."""
        if self.desk.root != (self.desk.draft.folder if self.desk.draft else None):
            self.desk.draft = None
        return Response("", headers={"HX-Refresh": "true"})


def _folder_name(text: str) -> str:
    """A folder's name in which no path can hide; empty where nothing of it is left."""
    plain = "".join(letter if letter.isalnum() and letter.isascii() else "-" for letter in text.strip().lower())
    return plain.strip("-")[:60]


def _path(text: str) -> tuple[str | int, ...]:
    try:
        parts = json.loads(text)
    except ValueError:
        return ()
    good = isinstance(parts, list) and all(isinstance(part, (str, int)) for part in parts)
    return tuple(parts) if good else ()


def _number(text: str) -> int:
    return int(text) if text.isdigit() and len(text) < 6 else -1


def _tab(request: Request) -> str:
    return request.headers.get("x-desk-tab", "")[:20]


async def _got(answer: Callable[[Request], Response | Awaitable[Response]], request: Request) -> Response:
    try:
        found = answer(request)
        return found if isinstance(found, Response) else await found
    except Refused:
        return Response(NOT_SO, 404)


async def _posted(answer: Callable[[Request, dict[str, str]], Response], request: Request) -> Response:
    try:
        body = await request.body()
        form = {name: values[-1] for name, values in parse_qs(body.decode(), keep_blank_values=True).items()}
        return answer(request, form)
    except TooLarge:
        return Response("Too large.", 413)
    except (KeyError, ValueError, Refused):
        return Response(NOT_SO, 400)


def desk_app(folder: Path, port: int, token: str, ready: Popen[bytes] | None = None) -> Any:
    """The application, guarded. ready: a process called already, for the first answer."""
    word = secrets.token_urlsafe(24)
    desk = Desk(folder, ready)
    pages = Pages(desk, word)

    @asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        desk.begin_loop()
        yield
        desk.close()

    return Guard(Starlette(routes=pages.routes(), lifespan=lifespan), port, token, word)
