"""A reading that nothing like it was run beside: the day goes on asking about it after it was entered."""

import pytest

HEAD = "run,configuration,splitter [mm],wing [deg],front_lift [N],rear_lift [N],drag [N]\n"
DAY = (
    "1,base,,,84,260,1150\n2,splitter,60,,-250,275,1162\n3,base,,,80,262,1152\n4,both,60,5,-215,-190,1195\n"
    "5,both,60,8,-200,-270,1215\n6,base,,,82,259,1151\n7,both,60,11,-185,-345,1240\n"
)


@pytest.mark.parametrize(
    ("rear", "asked"),
    [
        # between what 5 and 8 degrees read (-190 and -270 N): common practice, no source
        (-240, False),
        # a digit too many
        (-2400, True),
    ],
)
def test_check_names_a_reading_far_from_what_the_runs_before_it_expect(axletrim, desk, rear, asked):
    folder = desk.write(runs=f"{HEAD}{DAY}8,both,60,7,-205,{rear},1209\n")
    said = axletrim("check", folder).stdout
    assert ("run 8: " in said) is asked, said
