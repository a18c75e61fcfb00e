"""What is asked for a change of the plan: a wanted run, or one of the figures that it states."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from balance.model.errors import one_line
from tui.host.questions import AskText

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from balance.decide.plan.configuration import Configuration
    from balance.files.formats.plan_edit import Key
    from balance.model.plans import WantedRun
    from balance.tell.library.other_cars import Offer
    from tui.host.host import Host
    from tui.host.plan_view import PlanFigures


def ask_wanted(
    app: Host, figures: PlanFigures, picked: Configuration | None, take: Callable[[WantedRun, str], None]
) -> None:
    """Let a wanted run be typed, beginning with the one that is picked."""
    from balance.decide.plan.configuration import configuration  # noqa: PLC0415 - only when asked
    from balance.files.formats.plan_options import EXAMPLE, settings_of_text, settings_text  # noqa: PLC0415 - as above
    from balance.model.errors import InputError  # noqa: PLC0415 - as above
    from balance.model.plans import WantedRun  # noqa: PLC0415 - as above

    plan, session = figures.planned.plan, figures.planned.session
    known = [configuration(one.settings) for one in plan.wanted]

    def check(text: str) -> None:
        if configuration(settings_of_text(session, plan, text)) in known:
            raise InputError("found a run that is wanted already, expected another one")

    def taken(text: str | None) -> None:
        if text is not None:
            settings = settings_of_text(session, plan, text)
            words = figures.names.fitted(configuration(settings))
            take(WantedRun(settings=settings), words)

    app.push_screen(
        AskText(
            "Which run is wanted? What is not named is not fitted.",
            value="" if picked is None else settings_text(dict(picked.settings), plan.units),
            hint=f"e.g. {EXAMPLE}",
            check=check,
        ),
        taken,
    )


def ask_figure(
    app: Host,
    figures: PlanFigures,
    take: Callable[[str, Mapping[Key, Any]], None],
) -> None:
    """Pick one of the figures that a plan states, and type it."""
    from balance.files.formats.plan_edit import checked_plan, edited_plan  # noqa: PLC0415 - only when asked
    from balance.files.formats.plan_typed import plan_fields_typed, typed_changes  # noqa: PLC0415 - as above
    from balance.tell.plan.plan_names import setting_order  # noqa: PLC0415 - as above

    plan, session, text_there = figures.planned.plan, figures.planned.session, figures.disk.text
    fields = {
        field.key: field
        for field in plan_fields_typed(plan, setting_order(session.setting_names, plan.units))
    }

    def picked(key: str | None) -> None:
        if key is None:
            return
        field = fields[key]

        def check(text: str) -> None:
            changed = edited_plan(text_there, typed_changes(key, text))
            checked_plan(session, Path(session.folder), changed, seen=text_there)

        def taken(text: str | None) -> None:
            if text is not None and text != field.value:
                take(f"{field.label} {text or 'not stated'}", typed_changes(key, text))

        app.push_screen(
            AskText(
                field.label.capitalize(),
                value=field.value,
                hint=f"e.g. {field.example}; empty: not stated",
                check=check,
            ),
            taken,
        )

    app.pick(
        "What does the plan state?",
        [(field.key, field.label, field.value or "not stated") for field in fields.values()],
        picked,
    )


def ask_library(
    app: Host, figures: PlanFigures, offers: Sequence[Offer], take: Callable[[str, Mapping[Key, Any]], None]
) -> None:
    """Pick the part of the library from which something is expected."""
    from balance.files.formats.plan_edit import library_change  # noqa: PLC0415 - only when asked
    from balance.tell.library.source_words import offered_words  # noqa: PLC0415 - as above

    plan, session, names = figures.planned.plan, figures.planned.session, figures.names
    there = {(one.setting, one.value): one for one in plan.expected}
    things = [
        (
            str(k),
            f"{names.setting(one.setting, one.value)} as {one_line(one.found.part)}",
            f"{f'! another part? {one.differs}: ' if one.differs else ''}{offered_words(one.found)}",
        )
        for k, one in enumerate(offers)
    ]
    taken = {(one.setting, one.value) for one in offers} & there.keys()
    things += [
        (f"-{k}", f"{names.setting(*one)}: no longer expect anything", "")
        for k, one in enumerate(there)
        if one in taken
    ]

    def picked(key: str | None) -> None:
        if key is None:
            return
        part: str | None = None
        if key.startswith("-"):
            setting, value = list(there)[int(key[1:])]
            said = f"{names.setting(setting, value)}: nothing expected"
        else:
            one = offers[int(key)]
            setting, value, part = one.setting, one.value, one.found.part
            said = f"{names.setting(setting, value)} expected as {one_line(part)} of the library"
        take(said, library_change(session, plan, figures.disk.text, setting, value, part))

    app.pick("Which part of the library is it? Its effect there is then expected.", things, picked)
