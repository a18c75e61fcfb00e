"""What stands beside the figures of a table and may change what they mean: asked about, or said; never passed over."""

import pytest

from balance.model.errors import FileFaults, InputError, UnknownName

HEAD = "Run,Configuration,Front lift [N],Rear lift [N],Drag [N]\n"
ROWS = "1,base,84.5,260,1150\n2,splitter,-140,275,1162\n"
DAY = {"speed": "160 km/h", "air_density": "1.225 kg/m^3", "forces": "as read"}


def more(header):
    return HEAD.replace("\n", f",{header}\n")


def keys(plan):
    return [question.key for question in plan.questions]


def column(plan, name):
    return [row[plan.header.index(name)] for row in plan.rows]


@pytest.mark.parametrize("name", ["-CLF", "\u2212CL F", "- Cl front"])
def test_a_minus_before_a_name_turns_its_sign_so_it_is_asked(planned, name):
    text = (
        f"Run,Configuration,{name},{name.replace('F', 'R').replace('front', 'rear')},CD\n1,base,0.1,0.2,0.4\n"
    )
    assert keys(planned(text)) == ["lift_sign"]
    assert planned(text, lift_sign="down").header[2] == "front_downforce_coefficient"


@pytest.mark.parametrize(
    "name",
    ["Δ{} lift [N]", "∆ {} lift [N]", "|{} lift| [N]", "σ {} lift [N]", "{} lift ± [N]", "{} lift (-) [N]", "{} lift (up -) [N]"],
)  # fmt: skip
def test_a_sign_in_a_name_is_not_passed_over(planned, name):
    text = f"Run,Configuration,{name.format('Front')},{name.format('Rear')},Drag [N]\n" + ROWS
    assert "column.front_lift" in keys(planned(text))


@pytest.mark.parametrize(
    "words",
    ["Positive values denote downforce", "Sign: downforce is shown positive", "Positiv = Abtrieb", "+ve = down", "negative is lift"],
)  # fmt: skip
def test_words_above_or_below_the_table_that_contradict_a_name_are_asked_about(planned, words):
    for text in (f"{words}\n{HEAD}{ROWS}", f"{HEAD}{ROWS}{words}\n"):
        assert keys(planned(text)) == ["lift_sign"]


@pytest.mark.parametrize("words", ["All forces in lbf", "Units: lbf", "Lift and drag (lbs)"])
def test_a_line_that_contradicts_the_unit_of_a_header_is_asked_about(planned, words):
    plan = planned(f"{words}\n{HEAD}{ROWS}")
    assert keys(plan) == ["unit.front_lift", "unit.rear_lift", "unit.drag"]
    assert plan.questions[0].choices == ("N", "lbf")
    assert planned(f"{words}\n{HEAD}{ROWS}", units={"lift": "N", "drag": "N"}).ready
    assert planned(f"{words.replace('lbf', 'N').replace('lbs', 'N')}\n{HEAD}{ROWS}").ready


@pytest.mark.parametrize("words", ["Ballast: 20 kg", "Load cells, range 5 kN", "Drag link in N. hall"])
def test_other_lines_with_units_are_not_asked_about(planned, words):
    assert planned(f"{words}\n{HEAD}{ROWS}").ready


def test_words_below_the_table_say_the_sign_that_a_name_leaves_open(planned):
    text = HEAD.replace("lift", "Fz") + ROWS + "Note: positive = down\n"
    assert planned(text).header[2] == "front_downforce [N]"


def test_figures_under_a_second_line_of_names_are_asked_about(planned):
    text = "Run,Configuration,Front lift [N],,Rear lift [N],,Drag [N],\n,,min,mean,min,mean,min,mean\n1,base,80,84.5,250,260,1100,1150\n"
    plan = planned(text)
    assert keys(plan) == ["column.front_lift", "column.rear_lift", "column.drag"]
    assert [q.choices for q in plan.questions][1] == ("column 5", "column 6")
    means = {"front_lift": "column 4", "rear_lift": "column 6", "drag": "column 8"}
    units = dict.fromkeys(means, "N")
    taken = planned(text, columns=means, units=units)
    assert [column(taken, f"{name} [N]") for name in means] == [["84.5"], ["260"], ["1150"]]


def test_columns_called_alike_are_told_apart_by_their_place(planned):
    text = more("Drag [N]") + "1,base,84.5,260,1150,1140\n"
    assert planned(text).questions[0].choices == ("column 5", "column 6")
    assert column(planned(text, columns={"drag": "column 6"}), "drag [N]") == ["1140"]
    with pytest.raises(UnknownName, match="column 5, column 6"):
        planned(text, columns={"drag": "Drag [N]"})


def test_a_column_without_a_header_is_told_of(planned):
    plan = planned(more("") + "1,base,84.5,260,1150,5\n2,wing,-140,275,1162,7.5\n")
    assert plan.ready
    assert "column 6 has no header and is left out: 5, 7.5" in plan.assumed


@pytest.mark.parametrize(
    ("cells", "asked"),
    [(("N", "lbf"), True), (("lbf", "lbf"), True), (("N", "N"), False), (("metric", "imperial"), True)],
)
def test_a_column_of_units_is_asked_about_unless_the_readings_are_in_them(planned, cells, asked):
    text = more("Unit") + "".join(f"{i},base,84.5,260,1150,{cell}\n" for i, cell in enumerate(cells))
    assert keys(planned(text)) == (["units.unit"] if asked else [])
    assert planned(text, recorded=("Unit",)).ready


@pytest.mark.parametrize(
    ("header", "cell", "kind"),
    [
        ("Note", "readings now in lbf", "units"), ("Type", "tare", "summary"), ("Type", "avg", "summary"),
        ("Note", "mean of 3 and 4", "summary"), ("Note", "wind off", "summary"), ("Note", "disregard", "void"),
    ],
)  # fmt: skip
def test_words_beside_a_run_that_change_what_it_is_are_asked_about(planned, header, cell, kind):
    text = more(header) + f"1,base,84.5,260,1150,\n2,wing,-140,275,1162,{cell}\n"
    assert keys(planned(text)) == [f"{kind}.3"]
    assert len(planned(text, keep_rows=("2",)).rows) == 2


def test_ordinary_remarks_are_not_asked_about(planned):
    text = more("Note") + "1,base,84.5,260,1150,2 kg ballast\n2,wing,-140,275,1162,changed the tyres\n"
    assert planned(text).ready


@pytest.mark.parametrize(
    "label", ["Tare (post)", "no-wind 2", "Limits", "Std.-Abw. Mittelwert", "Moyenne", "95 % CI", "Offset", "Zero check after 5"]
)  # fmt: skip
@pytest.mark.parametrize("place", ["{},base,84.5,260,1150\n", "9,{},84.5,260,1150\n"])
def test_names_of_what_may_be_no_run_are_asked_about(planned, label, place):
    text = HEAD + ROWS + place.format(label)
    assert [key.split(".")[1] for key in keys(planned(text))] == ["4"]
    assert len(planned(text, keep_rows=("line 4",)).rows) == 3
    assert len(planned(text, drop_rows=("line 4",)).rows) == 2


@pytest.mark.parametrize("name", ["limit strap", "calm", "offset wing", "zero flap", "changeover"])
def test_ordinary_names_are_not_asked_about(planned, name):
    assert planned(HEAD + ROWS + f"9,{name},84.5,260,1150\n").ready


@pytest.mark.parametrize("header", ["Valid", "Good?", "OK", "Void"])
def test_a_column_of_marks_for_runs_that_count_is_asked_about(planned, header):
    text = more(header) + "1,base,84.5,260,1150,yes\n2,wing,-140,275,1162,no\n"
    assert keys(planned(text)) == ["status.yes", "status.no"]
    plan = planned(text, status={"yes": "good", "no": "void"})
    assert column(plan, "status") == ["", "void"]


def test_a_blank_where_others_are_marked_as_good_is_asked_about(planned):
    text = more("Valid") + "1,base,84.5,260,1150,x\n2,wing,-140,275,1162,\n"
    assert keys(planned(text, status={"x": "good"})) == ["void.3"]


def test_a_status_that_is_none_is_refused(planned):
    with pytest.raises(UnknownName, match="good, suspect, void"):
        planned(HEAD + ROWS, status={"B": "fine"})


@pytest.mark.parametrize("mark", ['""""', "ditto", "s.o."])
def test_a_ditto_mark_is_asked_about_and_then_means_the_one_above(planned, mark):
    text = more("Vents") + f"1,base,84.5,260,1150,open\n2,{mark},-140,275,1162,{mark}\n"
    assert keys(planned(text)) == ["blank.3"]
    plan = planned(text, fill_down=True)
    assert column(plan, "configuration") == ["base", "base"]
    assert 'recorded = ["vents"]' in plan.session_text


def test_what_is_taken_for_not_fitted_is_told(planned):
    plan = planned(
        more("Wing angle [deg]") + "1,base,84.5,260,1150,\n2,wing,84,260,1150,#REF!\n3,wing,84,260,1150,5\n"
    )
    assert "'Wing angle [deg]' is blank, so not fitted: line 2" in plan.assumed
    assert "'Wing angle [deg]': '#REF!' is taken for not fitted" in plan.assumed


def test_a_later_header_with_settings_in_another_order_is_asked_about(planned):
    first, later = more("Wing slot,Flap slot"), more("Flap slot,Wing slot")
    assert keys(planned(f"{first}1,base,84.5,260,1150,1,2\n{later}2,base,84,260,1150,2,1\n")) == ["header.3"]


def test_a_table_above_the_one_understood_best_is_not_passed_over(planned):
    text = HEAD + ROWS + more("Humidity [%]") + "3,wing,-60,-90,1190,55\n"
    plan = planned(text)
    assert keys(plan) == ["header.1"]
    assert column(planned(text, lines=(1, 3)), "run") == ["1", "2"]
    assert column(planned(text, lines=(4, 99)), "run") == ["3"]


def test_a_speed_as_set_and_one_as_measured_are_asked_about(planned):
    text = more("Nominal speed [km/h],Actual speed [km/h]") + "1,base,84.5,260,1150,160,158.2\n"
    assert keys(planned(text)) == ["column.speed"]


def test_a_temperature_of_exactly_0_is_asked_about(planned):
    text = more("Temperature [°C]") + "1,base,84.5,260,1150,21.5\n2,wing,84,260,1150,0\n"
    assert keys(planned(text)) == ["zero_means"]
    assert column(planned(text, zero_means="missing"), "temperature [degC]") == ["21.5", ""]
    assert column(planned(text, zero_means="reading"), "temperature [degC]") == ["21.5", "0"]


@pytest.mark.parametrize("other", ["Date;14.05.2026", "Build;1.2"])
def test_neither_dates_nor_versions_settle_the_decimal_mark(planned, other):
    header, _, cell = other.partition(";")
    text = more(header).replace(",", ";") + f"1;base;12,125;25,250;25,750;{cell}\n"
    assert "decimal" in keys(planned(text))


@pytest.mark.parametrize("rows", ["1,base,84,5,260,1150,\n", "1,base,84,5,260,1150\n2,wing,-140,275,1162\n"])
def test_a_decimal_comma_between_commas_is_asked_about_where_a_blank_hides_it(planned, rows):
    assert keys(planned(more("Note") + rows)) == ["cells"]
    assert planned(more("Note") + rows.replace("84,5", "84.5")).ready
    assert planned(more("Note") + rows, separator="comma").ready


def test_a_thousands_comma_between_commas_is_asked_about_where_a_blank_hides_it(planned):
    assert keys(planned(more("Note") + "1,base,84.5,260,1,150,\n2,base,84.5,260,950,ok\n")) == ["cells"]


@pytest.mark.parametrize("figures", ["-999,260,1150", "84.5,-9999,1150", "84.5,260,9999.9", "999,999,999"])
def test_figures_that_stand_for_none_are_asked_about(planned, figures):
    text = HEAD + ROWS + f"3,wing,{figures}\n"
    assert keys(planned(text)) == ["nines.4"]
    assert len(planned(text, keep_rows=("3",)).rows) == 3
    assert planned(HEAD + ROWS + "3,wing,84.5,260,999\n").ready


def test_one_column_for_two_readings_is_refused(planned):
    with pytest.raises(InputError, match="given for two readings"):
        planned(HEAD + ROWS, columns={"front_lift": "Front lift [N]", "rear_lift": "Front lift [N]"})


def test_a_configuration_with_the_name_of_a_summary_is_asked_about_in_the_first_column_too(planned):
    text = HEAD.replace("Run,Configuration", "Configuration,Run") + "Spec 1,1,84.5,260,1150\n"
    assert "summary.2" in keys(planned(text))


def test_a_line_broken_within_a_cell_is_asked_about(planned):
    text = more("Note,Wing [deg]") + "1,base,84.5,260,1150,two\nlines,5\n2,wing,84,260,1150,,7\n"
    assert keys(planned(text)) == ["broken.3"]
    assert len(planned(text, drop_rows=("line 3",)).rows) == 2


def test_a_header_without_units_after_they_changed_is_asked_about(planned):
    bare = HEAD.replace(" [N]", "")
    assert keys(planned(HEAD + ROWS + HEAD.replace("N]", "lbf]") + "3,x,1,2,3\n" + bare + "4,x,1,2,3\n")) == [
        "units.6"
    ]
    assert planned(HEAD + ROWS + bare + "4,x,1.5,2,3\n").ready


@pytest.mark.parametrize(
    ("line", "date", "said"),
    [
        ("Datum;14.05.2026", "date = 2026-05-14", ""), ("Date;2026-05-14", "date = 2026-05-14", ""),
        ("Date;05/06/2026", "", "line 1 says '05/06/2026'"),
    ],
)  # fmt: skip
def test_a_date_above_the_header_is_read_or_told_of(planned, line, date, said):
    plan = planned(f"{line}\n{(HEAD + ROWS).replace(',', ';')}")
    assert date in plan.session_text
    assert any(said in text for text in plan.not_stated if text.startswith("date")) is bool(said)


@pytest.mark.parametrize("ends", ["\n", "\r", "\r\n"])
def test_a_quotation_mark_closed_lines_later_swallows_no_row(planned, ends):
    text = HEAD + '1,base,84.5,260,1150\n2,"wing,84,260,1150\n3,wing",84,260,1150\n'
    with pytest.raises(FileFaults, match=r"runs.csv:3: found a quotation mark"):
        planned(text.replace("\n", ends))


@pytest.mark.parametrize("figure", ["1e400", "1e-400", "1e99999999"])
def test_a_figure_beyond_all_numbers_is_asked_about(planned, figure):
    text = HEAD + f"1,base,84.5,260,1150\n,,lbf,lbf,lbf\n2,wing,{figure},260,1150\n"
    assert keys(planned(text)) == ["number.4"]


def test_answers_that_meet_nothing_are_told(planned):
    plan = planned(
        HEAD + ROWS, units={"drg": "N"}, recorded=("Rake",), drop_rows=("Avrg*",), settings=("Wing",)
    )
    assert set(plan.assumed) >= {
        "--unit 'drg' names no column of the file", "--recorded 'Rake' names no column of the file",
        "--setting 'Wing' names no column of the file", "--drop-rows 'Avrg*' meets no row",
    }  # fmt: skip


@pytest.mark.parametrize("separator", ["xx", '"', " ", "\n"])
def test_a_separator_that_is_none_is_refused(planned, separator):
    with pytest.raises(UnknownName, match="comma, semicolon, tab, bar"):
        planned(HEAD + ROWS, separator=separator)


TURNED = (
    "Run,1,2\nConfiguration,base,wing\nFront lift [N],84,-140\nRear lift [N],260,275\nDrag [N],1150,1162\n"
)
LONG = "Run,Configuration,Channel,Value\n1,base,Front lift,84\n1,base,Rear lift,260\n1,base,Drag,1150\n"


@pytest.mark.parametrize(
    ("text", "found"), [(TURNED, "a column for each run"), (LONG, "a line for each reading")]
)
def test_a_table_without_a_line_for_each_run_is_refused_in_words(planned, text, found):
    with pytest.raises(FileFaults, match=f"found {found}, expected a line for each run"):
        planned(text)


def test_total_lift_without_a_moment_says_why_it_is_not_enough(planned):
    plan = planned("Run,Configuration,Total lift [N],Front balance [%],Drag [N]\n1,base,344.5,24,1150\n")
    assert "only with a pitching moment" in plan.questions[0].text


def test_another_name_of_the_same_settings_is_asked_and_takes_the_name_that_is_answered(planned):
    """A repeat that was labelled otherwise would be no repeat: common practice, no source."""
    head = HEAD.replace("\n", ",Wing [deg]\n")
    text = f"{head}1,wing,84.5,260,1150,5\n2,plain,-140,275,1162,\n3,wing rpt,84,261,1151,5\n4,taped,-141,274,1160,\n"
    plan = planned(text)
    assert keys(plan) == ["names.wing rpt"]
    assert '--name "wing rpt=wing"' in plan.questions[0].option
    one = planned(text, names={"wing rpt": "wing"})
    assert (one.questions, column(one, "configuration")) == ((), ["wing", "plain", "wing", "taped"])
    two = planned(text, names={"wing rpt": "wing rpt"})
    assert (two.questions, column(two, "configuration")) == ((), ["wing", "plain", "wing rpt", "taped"])


def test_many_names_of_the_same_settings_have_one_answer(planned):
    """A facility that numbers its repeats is asked once, not once a repeat: common practice, no source."""
    head = HEAD.replace("\n", ",Wing [deg]\n")
    text = head + "".join(f"{k},wing {k},84.5,260,1150,{5 + k % 2}\n" for k in range(1, 8))
    plan = planned(text)
    assert keys(plan) == ["same_settings"]
    assert plan.questions[0].text.startswith(
        "5 names stand for what another name stands for too; runs 1 and 3 "
    )
    one = planned(text, same_settings="one")
    assert (one.questions, column(one, "configuration")) == (
        (),
        [f"wing {1 + (k + 1) % 2}" for k in range(1, 8)],
    )
    apart = planned(text, same_settings="apart")
    assert (apart.questions, column(apart, "configuration")) == ((), [f"wing {k}" for k in range(1, 8)])


@pytest.mark.parametrize(
    "rows",
    ["1,base,84,5,260,2,1150,9\n", "1,base,-84,5,260,1150\n2,base,85,261,1151\n", "1,base,84,260,0,1150\n"],
)
def test_decimal_commas_between_commas_are_never_left_out(planned, rows):
    """Leaving out what no header stands over would make front 84, rear 5, drag 260 of 84,5 and 260,2."""
    plan = planned(HEAD + rows)
    assert keys(plan) == ["cells"]
    said = str(plan.questions[0])
    assert "decimal comma in a comma-separated file" in said
    assert "semicolons" in said
    assert "drop-rows" not in said
    assert "--separator" not in said
