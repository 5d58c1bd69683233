"""The addresses of the pages: one table."""

from collections.abc import Callable
from functools import cached_property
from importlib import import_module
from typing import Any

from flask import Blueprint
from flask.blueprints import BlueprintSetupState
from jinja2 import BaseLoader, ChoiceLoader, FileSystemLoader, StrictUndefined

#: what the head of each page leads to: address, words
PLACES = (
    ("/", "Lessons"),
    ("/charts", "Charts"),
    ("/pilots", "Pilots"),
    ("/class", "Class"),
    ("/briefing", "Briefing"),
)
CAUTION = (
    "Training debrief only, not for navigation or flight planning; the chart in force, local rules and a licensed "
    "instructor decide."
)


class _Pages(Blueprint):
    """The pages, whose templates may take the report's macros."""

    @cached_property
    def jinja_loader(self) -> BaseLoader:
        from analyzer.shown import shared_templates

        assert self.template_folder is not None
        return ChoiceLoader([FileSystemLoader(f"{self.root_path}/{self.template_folder}"), shared_templates()])


def _loaded_when_asked(view: str) -> Callable[..., Any]:
    """Return a view of a module that is loaded when asked for: the desk starts without what draws and judges."""
    module, _, name = view.partition(".")

    def shown(**values: Any) -> Any:
        return getattr(import_module(f"analyzer.run.desk.pages.{module}"), name)(**values)

    return shown


pages = _Pages("pages", __name__, template_folder="templates", static_folder="static", static_url_path="/static")

for _rule, _name, _view, _methods in (
    ("/", "lessons", "lessons.show", "GET"),
    ("/lessons/<int:lesson>", "lesson", "lesson_page.show", "GET"),
    ("/lessons/<int:lesson>/card", "card", "lesson_page.card", "GET"),
    ("/lessons/<int:lesson>/away", "put_away", "lesson_page.put", "POST"),
    ("/lessons/<int:lesson>/chart", "choose", "choose.show", "GET"),
    ("/lessons/<int:lesson>/chart", "chosen", "choose.keep", "POST"),
    ("/lessons/<int:lesson>/coded", "coded_taken", "coded.take", "POST"),
    ("/lessons/<int:lesson>/own-view", "own_view", "own_view.show", "GET"),
    ("/lessons/<int:lesson>/own-view", "own_view_kept", "own_view.keep", "POST"),
    ("/lessons/<int:lesson>/remarks", "remark", "debrief.remark", "POST"),
    ("/lessons/<int:lesson>/signature", "sign", "debrief.sign", "POST"),
    ("/import", "import", "exchange_page.show", "GET"),
    ("/charts", "charts", "charts.show_all", "GET"),
    ("/charts", "chart_kept", "charts.keep", "POST"),
    ("/charts/new", "new_chart", "charts.new", "GET"),
    ("/charts/draw", "draw", "charts.draw", "POST"),
    ("/charts/file", "chart_file", "charts.file", "POST"),
    ("/charts/received", "chart_received", "charts.receive", "POST"),
    ("/charts/coded", "coded_received", "coded.receive", "POST"),
    ("/charts/<int:chart>", "chart", "charts.show", "GET"),
    ("/charts/<int:chart>/file", "chart_text", "charts.text", "GET"),
    ("/pilots", "pilots", "pilots.show_all", "GET"),
    ("/pilots", "pilot_kept", "pilots.add", "POST"),
    ("/pilots/<int:pilot>", "pilot", "pilots.show", "GET"),
    ("/pilots/<int:pilot>", "pilot_changed", "pilots.change", "POST"),
    ("/class", "class", "pilots.show_class", "GET"),
    ("/briefing", "briefing", "briefing.show", "GET"),
    ("/briefing/sheet", "briefing_sheet", "briefing.sheet", "GET"),
    ("/static/report.css", "report_style", "styles.report_style", "GET"),
    ("/static/report-sort.js", "report_sort", "styles.report_sort", "GET"),
):
    pages.add_url_rule(_rule, _name, _loaded_when_asked(_view), methods=[_methods])


@pages.record_once
def _set_up(state: BlueprintSetupState) -> None:
    state.app.jinja_env.undefined = StrictUndefined
    state.app.jinja_env.globals.update(places=PLACES, caution=CAUTION, place="")
