"""A new car and a new day from the chooser, checked as they are typed; a day without runs says what to do."""

from balance.files.loader import load_session


async def test_a_car_and_its_first_day_are_begun_and_the_first_run_is_entered(running, place_of_its_own):
    async with running() as ui:
        await ui.press("f3")
        assert "N E W C A R" in ui.text
        await ui.fill(name="Larkspur coupe")
        assert str(place_of_its_own / "larkspur_coupe") in ui.text
        await ui.fill(mass__total="1290")
        assert "mass as it runs: found '1290' without a unit" in ui.text
        await ui.press("f10")
        assert ui.screen == "NewFile"
        assert "wheelbase: found nothing, expected it, as 2575 mm" in ui.text
        await ui.fill(mass__total="2844 lb", mass__front_share="54.2 %", size__wheelbase="101.4 in")
        await ui.press("f10")
        assert ui.screen == "NewFile"
        await ui.fill(title="Spring day", facility__speed="160 km/h", facility__air_density="1.225 kg/m^3")
        await ui.fill(facility__forces="as read", units="N, km/h", sign="lift", settings="wing_angle [deg]")
        await ui.fill(places="fast left 185")
        assert "found '185' without a unit" in ui.text
        await ui.fill(places="fast left 185 km/h")
        await ui.press("f10")
        session = place_of_its_own / "larkspur_coupe" / "spring_day"
        assert ui.screen == "Home"
        assert ui.state.path == str(session)
        assert ui.state.day is None
        assert "Larkspur coupe · Spring day" in ui.text
        assert "press a and type the first one" in ui.text
        await ui.press("a")
        ui.find("#line").value = "84 260 1150 configuration base"
        await ui.press("enter", "escape")
        assert ui.state.day.readings.labels == ("1",)
        assert load_session(session).places[0].name == "fast left"
        assert abs(load_session(session).vehicle.mass - 1290) < 0.1


async def test_corner_weights_will_do(running, place_of_its_own):
    async with running() as ui:
        await ui.press("f3")
        await ui.fill(name="Corner car", size__wheelbase="2575 mm")
        corners = ("front_left", "front_right", "rear_left")
        await ui.fill(**{f"mass__corners__{name}": "350 kg" for name in corners})
        await ui.press("f10")
        assert ui.screen == "NewFile"
        assert "×" in ui.text
        await ui.fill(mass__corners__rear_left="351 kg")
        assert "still needed: mass and its share on the front, or four corner weights" in ui.text
        await ui.fill(mass__corners__rear_right="300 kg")
        # 350 + 350 + 351 + 300 kg; over 0.45359237 kg a pound (NIST SP 811)
        assert "together 1351 kg (2978 lb), of it 51.8 % on the front" in ui.text
        await ui.press("f10")
        assert ui.screen == "NewFile"
        assert 'rear_right = "300 kg"' in (place_of_its_own / "corner_car" / "vehicle.toml").read_text()


async def test_nothing_that_is_there_is_overwritten(running, desk, remember):
    remember((desk.session, "Spring tunnel day", "Larkspur coupe", 1))
    before = desk.session.joinpath("session.toml").read_bytes()
    async with running() as ui:
        await ui.press("f2")
        await ui.fill(title="Day", facility__speed="160 km/h", facility__air_density="1.225 kg/m^3")
        await ui.fill(
            facility__forces="as read", units="lbf, mph", sign="downforce", folder=str(desk.session)
        )
        await ui.press("f10")
        assert ui.screen == "NewFile"
        assert "found a file there already" in ui.text
        await ui.press("escape")
        assert "Drop what was typed?" in ui.text
        await ui.press("d")
        assert ui.screen == "Chooser"
    assert desk.session.joinpath("session.toml").read_bytes() == before


async def test_what_is_wrong_is_said_of_the_field_gone_to_and_nothing_is_promised_meanwhile(running):
    async with running() as ui:
        await ui.press("f3")
        await ui.fill(name="Larkspur coupe", mass__total="1290", size__wheelbase="2575")
        assert ui.text.index("× wheelbase: found") < ui.text.index("× mass as it runs: found")
        await ui.fill(mass__front_share="54.2 %")
        assert "vehicle.toml; nothing that is there is overwritten" not in ui.text
        await ui.press("f10")
        assert ui.app.screen.focused is ui.field("mass.total")
        assert ui.text.index("× mass as it runs: found") < ui.text.index("× wheelbase: found")
        await ui.press("down", "down")
        assert ui.app.screen.focused is ui.field("size.wheelbase")  # mass and share say what corners would
        await ui.press("up")
        assert ui.app.screen.focused is ui.field("mass.front_share")


async def test_the_chooser_offers_no_pages_and_a_day_the_car_that_lies_here(running, place_of_its_own, desk):
    car = place_of_its_own / "my_car"
    car.mkdir()
    (car / "vehicle.toml").write_text(desk.vehicle, encoding="utf-8")
    async with running() as ui:
        assert "pages" not in ui.text
        await ui.press("f2")
        assert ui.field("car").value == str(car)


async def test_help_where_a_letter_is_a_letter_names_no_keys_that_are_letters(running):
    async with running() as ui:
        await ui.press("f3", "f1")
        assert "the runs of the day" not in ui.text
        assert "write the files, if all is in order" in ui.text


async def test_a_page_of_a_day_without_runs_says_why_it_does_not_open(running, desk):
    desk.write(runs=desk.head)
    async with running(desk.session) as ui:
        await ui.press("2")
        assert ui.screen == "Home"
        assert "no run counts yet: a types the first one" in ui.text


async def test_a_setting_named_twice_is_said_without_a_file_that_is_not_there_yet(running, desk, remember):
    remember((desk.session, "Spring tunnel day", "Larkspur coupe", 1))
    async with running() as ui:
        await ui.press("f2")
        await ui.fill(settings="wing_angle [deg], wing_angle [deg]")
        assert "set on the car: wing_angle [deg]: found the same name again" in ui.text
        assert "runs.csv:1" not in ui.text
