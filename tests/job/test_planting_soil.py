"""[fill] and [[mix]] as they are written, and each thing that can be wrong with them."""

import pytest

MIX = '[[mix]]\nname = "own"\nparts = [["topsoil", "60 %"], ["compost", "40 %"]]\n'


def test_a_mix_is_read_with_its_shares(opened):
    found = opened(MIX + "rows = [1, 2]\n").mix[0]
    assert found.parts == (("topsoil", 0.6), ("compost", 0.4))
    assert found.rows == (1, 2)


def test_shallow_cells_get_less_freeboard_and_mulch_without_being_asked(opened):
    fill = opened("").fill
    assert fill.free(0.3) == pytest.approx(0.0254)
    assert fill.free(0.08) == pytest.approx(0.01)
    assert fill.mulched(0.08) == pytest.approx(0.02)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            MIX.replace("40 %", "30 %"),
            "line 3: mix[1].parts: the parts sum to 90 %, not to 100 %; make them sum to 100 %",
        ),
        (
            MIX.replace('"compost"', '"Topsoil"'),
            "line 3: mix[1].parts[2]: topsoil is there twice; write it once",
        ),
        (
            '[[mix]]\nname = "own"\n',
            'line 1: mix[1].parts: is missing; add parts = [["topsoil", "70 %"], '
            '["compost", "30 %"]]',
        ),
        (
            '[[mix]]\nname = "own"\nparts = ["compost"]\n',
            'line 3: mix[1].parts[1]: "compost" is not a part of a mix; write component and '
            'share, as in ["compost", "30 %"]',
        ),
        (
            '[[mix]]\nname = "own"\nparts = "compost"\n',
            'line 3: mix[1].parts: "compost" is not a list of parts; write a list, as in '
            '[["topsoil", "70 %"], ["compost", "30 %"]]',
        ),
        (MIX + MIX, 'line 5: mix[2].name: "own" is there twice; give each mix its own name'),
        (
            MIX + "rows = [1]\n" + MIX.replace("own", "other") + "rows = [1]\n",
            'line 8: mix[2].rows: row 1 takes "own" already; give a row one mix',
        ),
        (
            '[fill]\nsoil_depth = "7 in"\nmulch = "2 in"\n',
            "line 2: fill.soil_depth: soil and mulch are deeper than the cell (cell.depth); give "
            "less of either",
        ),
        (
            '[fill]\nfreeboard = "2 in"\nmulch = "6 in"\n',
            "line 3: fill.mulch: with mulch and freeboard no room is left for soil in the cell "
            "(cell.depth); give less of either",
        ),
        (
            '[fill]\nempty = [["1 ft", "1 ft"]]\npart_full = [["1 ft", "1 ft", "50 %"]]\n',
            "line 3: fill.part_full[1]: the same place is in empty (number 1); fill it or leave "
            "it empty",
        ),
        (
            '[fill]\nbag = "2 ft"\n',
            'line 2: fill.bag: "2 ft" is not a volume; did you mean "2 ft3"?',
        ),
        (
            "[fill]\nbag = 2\n",
            'line 2: fill.bag: 2 has no unit; write "2 gal", "2 ft3" or "2 L"',
        ),
        (
            '[fill]\nwaste = "60 %"\n',
            'line 2: fill.waste: "60 %" makes no sense here; write from "0 %" to "50 %"',
        ),
        (
            "mix = 3\n",
            "line 1: mix: 3 where tables should be; write [[mix]], keys below it",
        ),
    ],
)
def test_what_cannot_be_is_told_with_its_line_and_what_would_be_right(wrong, text, said):
    assert wrong(text) == [f"hill.toml {said}"]
