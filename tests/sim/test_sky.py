import pytest

from sim.sky import DARK, clear_beam_wm2, clear_global_wm2, sky


def test_the_night_is_dark() -> None:
    assert sky(-20.0, 0.0, sun_covered=False) == DARK


def test_twilight_has_light_but_no_sun() -> None:
    dusk = sky(-3.0, 0.0, sun_covered=False)
    assert dusk.beam_wm2 == 0.0
    assert 10.0 < dusk.global_lx < 400.0


@pytest.mark.parametrize("cover", [0.0, 0.3, 0.6, 0.9, 1.0])
@pytest.mark.parametrize("elevation_deg", [3.0, 20.0, 60.0])
def test_free_and_covered_sun_come_to_the_global_of_the_cover(cover: float, elevation_deg: float) -> None:
    # Kasten & Czeplak 1980: global irradiance is the clear one times 1 - 0.75 cover^3.4.
    free, hidden = (sky(elevation_deg, cover, sun_covered=covered) for covered in (False, True))
    mean_wm2 = (1.0 - cover) * free.global_wm2 + cover * hidden.global_wm2
    assert mean_wm2 == pytest.approx(clear_global_wm2(elevation_deg) * (1.0 - 0.75 * cover**3.4))


def test_the_diffuse_part_is_never_negative() -> None:
    skies = (sky(e, c / 10, sun_covered=False) for e in range(1, 91) for c in range(11))
    assert all(one.diffuse_wm2 >= 0.0 for one in skies)


def test_light_per_watt_stays_within_the_published_figures() -> None:
    # Littlefair 1988: direct 70 to 95 lm/W, diffuse 115 to 144; below 10° twilight adds to the diffuse light.
    for elevation_deg in range(10, 91, 5):
        one = sky(elevation_deg, 0.0, sun_covered=False)
        assert 70.0 <= one.beam_lx / one.beam_wm2 <= 95.0
        twilight_lx = 400.0
        assert 115.0 <= (one.diffuse_lx - twilight_lx) / one.diffuse_wm2 <= 144.0001


def test_a_cloud_before_the_sun_takes_the_direct_part_only() -> None:
    free, hidden = (sky(40.0, 0.5, sun_covered=covered) for covered in (False, True))
    assert free.beam_wm2 == clear_beam_wm2(40.0)
    assert hidden.beam_wm2 == 0.0
    assert hidden.diffuse_lx == free.diffuse_lx
