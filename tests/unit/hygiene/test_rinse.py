import pytest

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.hygiene.rinse import judge_chill_chlorine, judge_peracid_rinse
from pinfeather.units import to_si


def ppm(value):
    return to_si(value, "ppm", "strength")


@pytest.mark.parametrize(
    ("peracetic", "peroxide", "hedp", "over"),
    [
        (220, 110, 13, []),
        (220.1, 110, 13, ["rinse.peracetic"]),
        (100, 111, 14, ["rinse.peroxide", "rinse.hedp"]),
    ],
)
def test_each_part_of_a_peracid_rinse_has_its_limit(peracetic, peroxide, hedp, over):
    findings = judge_peracid_rinse(
        ppm(peracetic), peroxide_frac=ppm(peroxide), hedp_frac=ppm(hedp), where="dip"
    )
    assert len(findings) == 3
    assert [f.code for f in findings if f.severity is Severity.STOP] == over


def test_only_what_was_measured_is_judged():
    assert [f.code for f in judge_peracid_rinse(ppm(50))] == ["rinse.peracetic"]


@pytest.mark.parametrize(
    ("free", "severity"),
    [(19, Severity.CHECK), (20, Severity.NOTE), (50, Severity.NOTE), (51, Severity.STOP)],
)
def test_chill_water_chlorine_is_between_20_and_50(free, severity):
    (finding,) = judge_chill_chlorine(ppm(free))
    assert finding.severity is severity
    assert finding.status == "unverified"


def test_chlorine_at_the_wrong_ph_is_named():
    assert [f.code for f in judge_chill_chlorine(ppm(30), ph=8.2)] == ["rinse.chlorine", "rinse.ph"]
    assert len(judge_chill_chlorine(ppm(30), ph=6.5)) == 1


def test_impossible_strengths_are_refused():
    with pytest.raises(InputError):
        judge_peracid_rinse(-1e-6)
    with pytest.raises(InputError):
        judge_chill_chlorine(float("nan"))
    with pytest.raises(InputError):
        judge_chill_chlorine(ppm(20), ph=15)
