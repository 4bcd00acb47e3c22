import pytest

from sim.heat import Drive, conductances, heat_step

# ISO 13790 Annex C, simple hourly method: floor 34.3 m², glass 13.5 m² at U 1.1, wall 1.69 m² at U 0.2,
# 106.33 m³ at 1.5 + 0.5 air changes without heat recovery, all surfaces 142.38 m², mass 165,000 J/m²K.
OFFICE = conductances(
    ventilation_wk=1200.0 / 3600.0 * 106.33 * (1.5 + 0.5),
    window_wk=13.5 * 1.1,
    walls_wk=1.69 * 0.2,
    surfaces_m2=142.38,
    mass_area_m2=2.5 * 34.3,
    capacity_jk=165000.0 * 34.3,
)


def test_an_hour_of_the_iso_room_with_sun_gives_its_mass_temperature() -> None:
    # ISO 13790 Annex C figures: outside 10 °C, mass 22, internal 10 W, solar 2,000 W: mean mass 22.33.
    heat = heat_step(OFFICE, 22.0, Drive(10.0, 10.0, 10.0, 2000.0, 0.0), 3600.0)
    assert heat.mass_c == pytest.approx(22.33, abs=0.005)


def test_minutes_and_the_hour_of_the_iso_room_agree() -> None:
    drive = Drive(10.0, 10.0, 10.0, 2000.0, 0.0)
    mass_c = 22.0
    for _ in range(60):
        mass_c = heat_step(OFFICE, mass_c, drive, 60.0).mass_end_c
    assert mass_c == pytest.approx(heat_step(OFFICE, 22.0, drive, 3600.0).mass_end_c, abs=0.001)


def test_the_iso_room_loses_in_balance_what_it_gains() -> None:
    # Conservation of energy: in the end the gain leaves by air, glass and wall.
    drive = Drive(10.0, 10.0, 300.0, 500.0, 200.0)
    heat = heat_step(OFFICE, 10.0, drive, 3600.0)
    for _ in range(20_000):
        heat = heat_step(OFFICE, heat.mass_end_c, drive, 3600.0)
    by_air_w = OFFICE.ventilation_wk * (heat.air_c - 10.0)
    by_wall_w = OFFICE.mass_wk * (heat.mass_c - 10.0)
    by_glass_w = OFFICE.window_wk * (heat.surface_c - 10.0)
    taken_back_w = OFFICE.window_share * (0.5 * 300.0 + 500.0)  # the share of the gains that glass gives back at once
    assert by_air_w + by_wall_w + by_glass_w + taken_back_w == pytest.approx(1000.0, rel=1e-6)


def test_a_two_mass_network_solved_in_small_steps_agrees_over_a_day() -> None:
    # An independent check: the same five resistances as an explicit network, marched second by second.
    of, outside_c, sun_w = OFFICE, 5.0, 400.0
    mass_c = 20.0
    for _ in range(24 * 360):
        h1 = of.ventilation_wk * of.film_wk / (of.ventilation_wk + of.film_wk)
        to_surface_w = (1.0 - of.mass_share - of.window_share) * sun_w
        surface_c = (of.surface_wk * mass_c + (of.window_wk + h1) * outside_c + to_surface_w) / (
            of.surface_wk + of.window_wk + h1
        )
        into_w = of.mass_share * sun_w + of.surface_wk * (surface_c - mass_c) + of.mass_wk * (outside_c - mass_c)
        mass_c += into_w * 10.0 / of.capacity_jk
    stepped_c = 20.0
    for _ in range(24):
        stepped_c = heat_step(of, stepped_c, Drive(outside_c, outside_c, 0.0, sun_w, 0.0), 3600.0).mass_end_c
    assert stepped_c == pytest.approx(mass_c, abs=0.02)
