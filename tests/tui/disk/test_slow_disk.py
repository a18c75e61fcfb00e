"""A disk that takes its time: nobody who types waits for it, and nothing says that it is saved before it is."""

import asyncio
import os
from contextlib import contextmanager
from threading import Event, current_thread, main_thread

import pytest


@pytest.fixture
def syncs(monkeypatch):
    """Which threads wait for the disk; what is asked of it is done all the same."""
    threads, really = [], os.fsync

    def fsync(opened):
        threads.append(current_thread())
        really(opened)

    monkeypatch.setattr(os, "fsync", fsync)
    return threads


@pytest.fixture
def slow_disk(monkeypatch):
    """A disk that takes nothing until it is let."""
    let, really = Event(), os.fsync

    def fsync(opened):
        let.wait()
        really(opened)

    @contextmanager
    def slow():
        monkeypatch.setattr(os, "fsync", fsync)
        try:
            yield
        finally:
            let.set()

    return slow


async def enter_a_run(ui):
    await ui.press("a")
    await ui.type_line("121 -478 1231 repeat")
    await ui.press("enter", "escape")


async def undo_and_redo(ui):
    await enter_a_run(ui)
    await ui.press("U", "R")


async def correct_the_car(ui):
    await ui.press("C")
    await ui.fill(mass__total="1300 kg")
    await ui.press("f10")
    await ui.press("U")


async def put_the_page_together(ui):
    await ui.press("B", "f2")
    await ui.type("Ms Vale")
    await ui.press("enter", "escape", "down", "]", "f10", "escape")


async def save_a_what_if(ui):
    await ui.press("5", "f10")
    ui.find("#text").value = "mine"
    await ui.press("enter")


async def begin_a_car(ui):
    await ui.press("o", "f3")
    await ui.fill(
        name="Marlow saloon", mass__total="1340 kg", mass__front_share="53 %", size__wheelbase="2640 mm"
    )
    await ui.press("f10")


async def watch_a_file(ui):
    file = ui.app.open_day.day.folder.parent / "readings.csv"
    file.write_text("configuration,run,front_lift [N],rear_lift [N],drag [N]\nflap,11,-90,-200,1155\n")
    await ui.press("l")
    ui.find("#text").value = str(file)
    await ui.press("enter")
    await ui.until(lambda: ui.state.day.readings.labels[-1] == "11", ui.look_for_changes)


async def take_a_picture(ui):
    await ui.press("w")


@pytest.mark.parametrize(
    "act",
    [
        enter_a_run, undo_and_redo, correct_the_car, put_the_page_together, save_a_what_if, begin_a_car, watch_a_file,
        take_a_picture,
    ],
)  # fmt: skip
async def test_no_save_is_on_the_thread_of_the_interface(running, desk, syncs, act):
    async with running(desk.session) as ui:
        syncs.clear()
        await act(ui)
        assert syncs, ui.text
        assert main_thread() not in syncs


async def test_what_is_typed_shows_while_the_run_before_is_being_written(running, desk, slow_disk):
    async with running(desk.session) as ui:
        await ui.press("a")
        await ui.type_line("121 -478 1231 repeat")
        with slow_disk():
            await ui.pilot.press("enter")
            await ui.pilot.press(*"-97", "space", *"-215")
            await ui.until(lambda: ui.find("#line").value == "-97 -215")
            assert ui.state.day.readings.labels[-1] == "5"
            assert (desk.session / "runs.csv").read_text(encoding="utf-8") == desk.runs
            await ui.until(lambda: "NOT SAVED YET: the disk takes its time" in ui.text)
        await ui.settle()
        assert "NOT SAVED" not in ui.text
        assert (desk.session / "runs.csv").read_text(encoding="utf-8").endswith("\n5,wing,121,-478,1231\n")
        assert ui.find("#line").value == "-97 -215"


async def test_leaving_waits_for_what_is_being_written(running, desk, slow_disk):
    async with running(desk.session) as ui:
        await ui.press("a")
        await ui.type_line("121 -478 1231 repeat")
        with slow_disk():
            await ui.pilot.press("enter", "escape")
            leaving = asyncio.create_task(ui.pilot.press("q"))
            await asyncio.sleep(0.5)
            assert not ui.app._exit
        await leaving
        await ui.until(lambda: ui.app._exit)
    assert ui.app.parting == ()
    assert (desk.session / "runs.csv").read_text(encoding="utf-8").endswith("\n5,wing,121,-478,1231\n")
