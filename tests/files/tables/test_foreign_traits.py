"""Each trait of files from elsewhere on its own: what is understood, what is asked, what is left out and why."""

import threading
import tomllib

import pytest

from balance.files.tables.importing.plan import ImportOptions, ImportStopped
from balance.files.tables.importing.planning import plan_import
from balance.files.tables.importing.remembered import filled, recall, remember
from balance.files.tables.importing.writing import write_import
from balance.model.errors import FileFaults, InputError, UnknownName
from balance.tell.import_text import import_page

HEAD = "Run,Configuration,Front lift [N],Rear lift [N],Drag [N]\n"
ROWS = "1,base,84,260,1150\n2,splitter,-140,275,1162\n"
DAY = {"speed": "160 km/h", "air_density": "1.225 kg/m^3"}


def keys(plan):
    return [question.key for question in plan.questions]


def column(plan, name):
    return [row[plan.header.index(name)] for row in plan.rows]


def test_a_plain_table_needs_no_answers(planned):
    plan = planned(HEAD + ROWS)
    assert plan.ready
    assert plan.header == ("run", "configuration", "front_lift [N]", "rear_lift [N]", "drag [N]")
    assert plan.rows == (("1", "base", "84", "260", "1150"), ("2", "splitter", "-140", "275", "1162"))


def test_one_figure_with_two_meanings_is_asked_about(planned):
    text = HEAD.replace(",", ";") + "1;base;84;260;1,234\n"
    plan = planned(text)
    assert keys(plan) == ["decimal"]
    assert "'1,234'" in plan.questions[0].text
    assert column(planned(text, decimal="comma"), "drag [N]") == ["1.234"]
    assert column(planned(text, decimal="point"), "drag [N]") == ["1234"]


@pytest.mark.parametrize("figure", ["0,234", "1,2345", "1234,567", "12,5", "1.234,5"])
def test_a_figure_that_only_a_decimal_comma_explains_settles_it(planned, figure):
    assert planned(HEAD.replace(",", ";") + f"1;base;84;260;{figure}\n").ready


def test_points_and_commas_as_decimal_marks_in_one_file_are_asked_about(planned):
    assert keys(planned(HEAD.replace(",", ";") + "1;base;84,5;260.25;1150\n")) == ["decimal"]


@pytest.mark.parametrize("names", [("Fz front", "Fz rear"), ("Front load", "Rear load"), ("CZF", "CZR")])
def test_a_name_without_a_sign_is_asked_about(planned, names):
    unit = "" if "CZF" in names else " [N]"
    text = f"Run,Configuration,{names[0]}{unit},{names[1]}{unit},Drag [N]\n1,base,0.84,0.26,0.4\n"
    plan = planned(text)
    assert keys(plan) == ["lift_sign"]
    assert plan.questions[0].choices == ("up", "down")
    up, down = (planned(text, lift_sign=sign) for sign in ("up", "down"))
    assert up.header[2].startswith("front_lift")
    assert down.header[2].startswith("front_downforce")


@pytest.mark.parametrize(
    ("head", "rows"), [(HEAD, ROWS.replace(",11", ",-11")), (HEAD.replace("Drag", "Fx"), ROWS)]
)
def test_drag_that_may_point_forward_is_asked_about(planned, head, rows):
    assert keys(planned(head + rows)) == ["drag_sign"]
    turned = column(planned(head + rows, drag_sign="forward"), "drag [N]")
    assert [abs(float(v)) for v in turned] == [1150, 1162]
    assert all(v.startswith("-") for v in turned) is ("Fx" in head)


def test_a_line_that_contradicts_a_name_is_asked_about(planned):
    assert keys(planned("Forces positive down\n" + HEAD + ROWS)) == ["lift_sign"]


def test_a_line_says_the_sign_that_a_name_leaves_open(planned):
    text = "Forces: positive = down\nRun,Configuration,Fz front [N],Fz rear [N],Drag [N]\n" + ROWS
    assert planned(text).header[2] == "front_downforce [N]"


@pytest.mark.parametrize(
    ("unit", "offered"),
    [("lb", "lbf"), ("lbs", "lbf"), ("kg", "kgf"), ("blobs", "N"), ("", "N"), ("counts", "0.001")],
)
def test_a_unit_that_is_no_force_is_asked_about(planned, unit, offered):
    text = HEAD.replace("Drag [N]", f"Drag [{unit}]" if unit else "Drag") + ROWS
    plan = planned(text)
    assert keys(plan) == ["unit.drag"]
    assert offered in plan.questions[0].choices
    assert planned(text, units={"drag": "lbf"}).header[4] == "drag [lbf]"


def test_a_speed_without_its_unit_is_asked_about(planned):
    text = HEAD.replace("Drag [N]", "Drag [N],Speed") + "1,base,84,260,1150,100\n"
    assert keys(planned(text, forces="as read")) == ["unit.speed"]
    assert planned(text, forces="as read", units={"speed": "mph"}).header[5] == "speed [mph]"


def test_forces_beside_speeds_are_asked_about(planned):
    text = HEAD.replace("Drag [N]", "Drag [N],Speed [km/h]") + "1,base,84,260,1150,160\n"
    plan = planned(text)
    assert keys(plan) == ["forces"]


def test_facts_that_nobody_states_are_asked_for(planned):
    assert keys(planned(HEAD + ROWS, speed=None, air_density=None)) == ["speed", "air_density"]


def test_facts_before_the_header_are_taken_with_their_units_or_asked_for(planned):
    facts = "Wind speed,100,mph\nAir density [kg/m3];1.2\nDate,2026-05-14\n"
    plan = planned(facts.replace(";", ",") + HEAD + ROWS, speed=None, air_density=None)
    assert plan.ready
    assert 'speed = "100 mph"' in plan.session_text
    assert 'air_density = "1.2 kg/m^3"' in plan.session_text
    assert "date = 2026-05-14" in plan.session_text
    assert keys(planned("Wind speed,100\n" + HEAD + ROWS, speed=None)) == ["speed"]


def test_what_differs_is_a_setting_and_what_does_not_is_a_record(planned):
    head = HEAD.replace(
        "Drag [N]", "Drag [N],Wing angle (deg),Rake (mm),Side force [N],Front lift coefficient"
    )
    plan = planned(head + "1,base,84,260,1150,,5,12,0.1\n2,wing,-140,275,1162,7.5,5,13,-0.2\n")
    assert plan.ready
    assert "wing_angle [deg]" in plan.header
    assert 'recorded = ["rake", "side_force", "other_front_lift_coefficient"]' in plan.session_text


def test_two_columns_for_one_reading_are_asked_about(planned):
    text = HEAD.replace("Drag [N]", "Drag [N],Drag corrected [N]") + "1,base,84,260,1150,1140\n"
    assert keys(planned(text)) == ["column.drag"]
    assert column(planned(text, columns={"drag": "Drag corrected [N]"}), "drag [N]") == ["1140"]


def test_lift_with_a_moment_after_sae_j1594_becomes_axle_lift(planned):
    # CD, CPM, CL, CLF, CLR of two cars: "windtunnel-20k" data set (Inductiva Research Labs)
    text = "Run,Configuration,CL,CPM,CD\n1,a,0.4542572,0.4432577,0.9018756\n2,b,-0.2198206,-0.04206425,0.3239965\n"
    plan = planned(text)
    assert [float(v) for v in column(plan, "front_lift_coefficient")] == pytest.approx(
        [0.6703862, -0.1519746], abs=2e-7
    )
    assert [float(v) for v in column(plan, "rear_lift_coefficient")] == pytest.approx(
        [-0.2161291, -0.06784606], abs=2e-7
    )


def test_another_moment_needs_its_point_height_length_and_sign(planned):
    text = "Run,Configuration,CL,Cm,CD\n1,a,0.4,0.1,0.5\n"
    assert keys(planned(text)) == ["moment_about", "moment_height", "moment_sign", "moment_length"]
    about = {"moment_height": "0 mm", "moment_sign": "nose-up", "moment_length": "wheelbase"}
    front = {
        point: float(column(planned(text, moment_about=point, **about), "front_lift_coefficient")[0])
        for point in ("front-axle", "mid-wheelbase", "rear-axle", "2575 mm")
    }
    # moments about the point, by hand: front lift x wheelbase = moment + lift x (wheelbase - x)
    assert front == pytest.approx({"front-axle": 0.5, "mid-wheelbase": 0.3, "rear-axle": 0.1, "2575 mm": 0.1})
    high = planned(
        text, moment_about="mid-wheelbase", **{**about, "moment_height": "515 mm"}
    )  # a fifth of the wheelbase
    assert float(column(high, "front_lift_coefficient")[0]) == pytest.approx(0.3 + 0.5 / 5)


def test_hostile_text_reaches_neither_terminal_nor_files_raw(planned, tmp_path):
    plan = planned(
        HEAD.replace("Drag [N]", "Drag [N],W\x1b[2Jing,Note")
        + "1,\x1b]0;x\x07base,84,260,1150,a\x1b[31m,'=1+1\n2,b,1,2,3,c,\n"
    )
    page = import_page(plan)
    assert page.replace("\n", "").isprintable()
    write_import(plan, tmp_path / "day")
    for name in ("runs.csv", "session.toml", "import.toml"):
        assert "\x1b" not in (tmp_path / "day" / name).read_text(encoding="utf-8")
    assert column(plan, "note") == ["=1+1", ""]


def test_the_original_is_kept_and_a_folder_in_use_is_left_alone(planned, tmp_path):
    plan = planned(HEAD + ROWS)
    session = write_import(plan, tmp_path / "car" / "day")
    assert [run.label for run in session.runs] == ["1", "2"]
    assert (tmp_path / "car" / "day" / "their runs.csv").read_bytes() == (HEAD + ROWS).encode()
    with pytest.raises(InputError, match="found something there already"):
        write_import(plan, tmp_path / "car" / "day")
    assert sorted(p.name for p in (tmp_path / "car").iterdir()) == ["day"]


def test_a_trial_leaves_nothing_behind(planned, tmp_path):
    plan = planned(HEAD + ROWS)
    before = sorted(tmp_path.rglob("*"))
    assert len(write_import(plan, tmp_path / "new" / "car" / "day", dry_run=True).runs) == 2
    assert sorted(tmp_path.rglob("*")) == before


def test_faults_of_figures_name_the_line_of_their_file(planned, tmp_path):
    plan = planned("Facility,hall\n\n" + HEAD + "1,base,84,260,9999999\n")
    with pytest.raises(FileFaults, match=r"their runs.csv:4: drag \[N\]: found '9999999'"):
        write_import(plan, tmp_path / "day")
    assert not (tmp_path / "day").exists()


def test_open_questions_write_nothing(planned, tmp_path):
    with pytest.raises(InputError, match="--air-density"):
        write_import(planned(HEAD + ROWS, air_density=None), tmp_path / "day")
    assert not (tmp_path / "day").exists()


def test_a_column_that_is_not_there_is_named_with_what_is_near(planned):
    with pytest.raises(UnknownName, match="did you mean 'Drag"):
        planned(HEAD + ROWS, columns={"drag": "Drg [N]"})


def test_work_tells_how_far_it_is_and_stops_when_told(planned, tmp_path):
    source = planned(HEAD + ROWS).source
    seen = []
    plan_import(
        source,
        vehicle=tmp_path / "vehicle.toml",
        options=ImportOptions(**DAY),
        progress=lambda *a: seen.append(a),
    )
    assert [share for share, _ in seen] == sorted(share for share, _ in seen)
    assert seen[-1][0] == 1.0
    stop = threading.Event()
    stop.set()
    with pytest.raises(ImportStopped):
        plan_import(source, vehicle=tmp_path / "vehicle.toml", stop=stop)


def test_every_answer_is_written_down_and_remembered(planned, tmp_path):
    plan = planned("note\n" + HEAD + ROWS, header_line=2, fill_down=True, lines=(2, 9))
    write_import(plan, tmp_path / "day")
    record = tomllib.loads((tmp_path / "day" / "import.toml").read_text(encoding="utf-8"))
    assert record["answers"] == {"header_line": 2, "lines": [2, 9], "fill_down": True, **DAY}
    remember("abc", plan.options, folder=tmp_path)
    last = recall("abc", folder=tmp_path)
    assert last == ImportOptions(header_line=2, fill_down=True)


def test_answers_are_remembered_but_not_those_of_one_day(tmp_path):
    options = ImportOptions(
        speed="160 km/h", lift_sign="up", drop_rows=("Avg*", "line 9"), units={"drag": "lbf"}
    )
    remember("abc", options, folder=tmp_path)
    last = recall("abc", folder=tmp_path)
    assert last == ImportOptions(lift_sign="up", drop_rows=("Avg*",), units={"drag": "lbf"})
    assert filled(ImportOptions(lift_sign="down", units={"speed": "mph"}), last).units == {
        "drag": "lbf",
        "speed": "mph",
    }
    assert recall("other", folder=tmp_path) is None


@pytest.mark.parametrize(
    "head",
    [  # from memory
        "Essai;Configuration;Portance avant [N];Portance arrière [N];Traînée [N];Vitesse [km/h];Remarques",
        "Prova;Configurazione;Portanza anteriore [N];Portanza posteriore [N];Resistenza [N];Velocità [km/h];Note",
        "Ensayo;Configuración;Sustentación delantera [N];Sustentación trasera [N];Resistencia [N];Velocidad [km/h];Nota",
        "Lauf;Konfiguration;Auftrieb Vorderachse [N];Auftrieb Hinterachse [N];Widerstand [N];Geschwindigkeit [km/h];Bemerkung",
    ],
)
def test_words_of_other_languages_are_understood(planned, head):
    plan = planned(f"{head}\n1;base;84;260;1150;160;tufts\n2;wing;-140;275;1162;160;\n", forces="as read")
    assert plan.questions == ()
    assert set(plan.header) == {
        "run", "configuration", "front_lift [N]", "rear_lift [N]", "drag [N]", "speed [km/h]", "note",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("kept", "answered"),
    [
        ('decimal = "komma"\nlift_sign = "up"', ImportOptions(lift_sign="up")),
        ("drop_rows = [1, 2]\nheader_line = true", ImportOptions()),
        ('fill_down = "yes"\n[columns]\ndrag = 7', ImportOptions()),
        ('header_line = 3\nfill_down = true\ndrop_rows = ["Avg*"]\n[units]\ndrag = "lbf"',
         ImportOptions(header_line=3, fill_down=True, drop_rows=("Avg*",), units={"drag": "lbf"})),
    ],
)  # fmt: skip
def test_remembered_answers_that_somebody_has_spoilt_are_as_none(tmp_path, kept, answered):
    (tmp_path / "abc.toml").write_text(kept, encoding="utf-8")
    assert recall("abc", folder=tmp_path) == answered


def test_bytes_that_are_no_text_are_not_told_to_be_read_as_what_they_are_not(tmp_path, vehicle_text):
    (tmp_path / "vehicle.toml").write_text(vehicle_text)
    (tmp_path / "noise.csv").write_bytes(bytes(range(128, 256)) * 3 + b"\x81\x8d\x8f\x90\x9d")
    with pytest.raises(FileFaults, match=r"not cp1252 text.*is it a table at all") as fault:
        plan_import(
            tmp_path / "noise.csv",
            vehicle=tmp_path / "vehicle.toml",
            options=ImportOptions(encoding="cp1252"),
        )
    assert "--encoding cp1252" not in str(fault.value)
